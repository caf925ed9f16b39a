"""A student's score and whether it reaches the cut score: decided by hand around the cut."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.class_files.roster import Student
from calclib.gradebook.results import PartResult, SetResults, StudentResult
from calclib.records.part_marks import PartMark
from tests.records.sealed_set import SEALED

# Ten points, of which 80 % are needed.
SLOT = replace(SEALED.slots[0], points={"drops": Fraction(10)})
TEN_POINTS = replace(SEALED, slots=(SLOT,), cut_score=Fraction(80))
RIGHT = PartMark(
    1, "drops", "a", "c", "right", True, False, "nothing", Fraction(1), Fraction(10), False, (), (), "", {}
)


def student(
    score: str, *, by_hand: str | None = None, extra: str = "0", penalty: str = "0", fails: str = "nothing"
) -> StudentResult:
    """A student with one answer that the judge gave a share of ten points."""
    manual = None if by_hand is None else Fraction(by_hand)
    part = PartResult(RIGHT._replace(score=Fraction(score), fails=fails), manual, Fraction(extra), False, "")
    return StudentResult(Student("ann", "Ann Ash"), "p" * 16, (part,), None, Fraction(penalty), None)


@pytest.mark.parametrize(
    ("one", "percent", "reaches"),
    [
        (student("1"), "100", True),
        (student("0.8"), "80", True),
        (student("0.799"), "79.9", False),
        # Points that a person gave take the place of the judge's, and extra ones come on top.
        (student("1", by_hand="7"), "70", False),
        (student("0", by_hand="8"), "80", True),
        (student("0.7", extra="1"), "80", True),
        # Lateness comes off once, and nobody has less than nothing.
        (student("1", penalty="2"), "80", True),
        (student("0.9", penalty="1.5"), "75", False),
        (student("0.1", penalty="3"), "0", False),
        # An error that fails the set fails it whatever the score, unless a person gave the points.
        (student("1", fails="exam"), "100", False),
        (student("0", fails="exam", by_hand="9"), "90", True),
        (student("1", fails="part"), "100", True),
    ],
)
def test_the_score_as_it_stands_reaches_the_cut_or_does_not(one: StudentResult, percent: str, reaches: bool) -> None:
    """Exactly the cut score is enough."""
    results = SetResults(TEN_POINTS, (one,))
    assert results.percent(one) == Fraction(percent)
    assert results.reaches_cut(one) is reaches
