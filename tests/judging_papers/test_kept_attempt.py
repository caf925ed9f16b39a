"""Which of several attempts counts: decided by hand on points, lateness and errors that fail the set."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import pytest

from calclib.judging_papers.judged_attempt import Attempt, kept_attempt
from calclib.records.part_marks import Fails

# The points that pass.
CUT = Fraction(3)


def attempt(points: str, *, late: str = "0", fails: str = "nothing") -> Attempt:
    """An attempt of which the first answer earned so many points; `late` is the share that is lost.

    `fails` says what each answer fails, one word for each.
    """
    first, *others = map(Fails, fails.split())
    marks = [SimpleNamespace(earned=Fraction(points), score=Fraction(points), fails=first)]
    marks += [SimpleNamespace(earned=Fraction(0), score=Fraction(0), fails=one) for one in others]
    return Attempt(handed=None, judged=SimpleNamespace(marks=tuple(marks)), late=Fraction(late))  # type: ignore[arg-type]


@pytest.mark.parametrize(("keep", "kept"), [("first", 0), ("last", 2), ("best", 1)])
def test_the_rule_of_the_blueprint_decides(keep: str, kept: int) -> None:
    """Of 2, 3 and 1 points the first, the last or the best."""
    attempts = [attempt("2"), attempt("3"), attempt("1")]
    assert kept_attempt(attempts, keep, CUT) is attempts[kept]


@pytest.mark.parametrize(
    ("attempts", "kept"),
    [
        # 4 points of which half is lost, against 3 in time.
        ((attempt("4", late="1/2"), attempt("3")), 1),
        # 4 points of which a tenth is lost are more.
        ((attempt("4", late="1/10"), attempt("3")), 0),
        # Equally good: the earlier.
        ((attempt("3"), attempt("3")), 0),
        # An error that fails the set counts behind any points, and before none.
        ((attempt("4", fails="exam"), attempt("1/2")), 1),
        ((attempt("4", fails="exam"), attempt("0")), 0),
        ((attempt("1", fails="exam"), attempt("4", fails="exam")), 1),
        # One that fails its own part alone fails nothing else.
        ((attempt("4", fails="part"), attempt("3")), 0),
    ],
)
def test_the_best_has_the_most_points_after_all_that_is_taken_off(attempts: tuple[Attempt, ...], kept: int) -> None:
    """Lateness is taken off before attempts are compared, and an attempt that fails the set is the last resort."""
    assert kept_attempt(attempts, "best", CUT) is attempts[kept]


@pytest.mark.parametrize(
    ("attempts", "kept"),
    [
        # It passes unless a person confirms its error, and no other passes: it counts, however few points beside it.
        ((attempt("3", fails="exam_waits"), attempt("2")), 0),
        ((attempt("2"), attempt("3", fails="exam_waits")), 1),
        # Another passes without a doubt, by fewer points: that one counts, whichever came first.
        ((attempt("4", fails="exam_waits"), attempt("3")), 1),
        ((attempt("3"), attempt("4", fails="exam_waits")), 0),
        # It wouldn't pass anyhow: it counts behind any points, and before none.
        ((attempt("5/2", fails="exam_waits"), attempt("1/2")), 1),
        ((attempt("5/2", fails="exam_waits"), attempt("0")), 0),
        # Lateness takes it below what passes.
        ((attempt("4", late="1/2", fails="exam_waits"), attempt("1")), 1),
        # Beside an error that was confirmed.
        ((attempt("4", fails="exam"), attempt("3", fails="exam_waits")), 1),
        ((attempt("4", fails="exam"), attempt("5/2", fails="exam_waits")), 0),
        # Of two that wait the one with more points.
        ((attempt("3", fails="exam_waits"), attempt("4", fails="exam_waits")), 1),
        # A confirmed error decides, whatever else waits in the same attempt.
        ((attempt("4", fails="exam exam_waits"), attempt("1")), 1),
    ],
)
def test_passing_beats_points_and_an_error_that_waits_counts_only_where_no_other_passes(
    attempts: tuple[Attempt, ...], kept: int
) -> None:
    """An attempt that passes comes first, then one that passes unless its error is confirmed, then points."""
    assert kept_attempt(attempts, "best", CUT) is attempts[kept]


@pytest.mark.parametrize(("cut", "kept"), [("2", 1), ("3", 1), ("4", 0)])
def test_the_cut_decides_whether_an_attempt_passes(cut: str, kept: int) -> None:
    """Of 4 points with an error that waits and of 3, the 3 count as long as they pass; else what may still pass."""
    attempts = [attempt("4", fails="exam_waits"), attempt("3")]
    assert kept_attempt(attempts, "best", Fraction(cut)) is attempts[kept]
