"""Who failed a set and gets a plan, and for whom it is too early to say."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from calclib.class_files.roster import Student
from calclib.gradebook.results import SetResults, StudentResult
from calclib.gradebook.standing import Standing, standing_of


@dataclass(frozen=True)
class ByStanding:
    """A class by whether a plan is due.

    Attributes:
        failed: Students who failed, whatever still waits.
        waiting: Students whose standing a person's decision may change.
        missing: Students of whom nothing was marked.
        passed: How many passed.
    """

    failed: tuple[StudentResult, ...]
    waiting: tuple[StudentResult, ...]
    missing: tuple[Student, ...]
    passed: int


def by_standing(results: SetResults, undecided: Collection[str] = ()) -> ByStanding:
    """Return who failed, who waits, who is missing and how many passed.

    Args:
        results: The results of the set.
        undecided: Pseudonyms of students whose last attempt still waits for a person.
    """
    failed, waiting, passed = [], [], 0
    for one in results.marked:
        standing = standing_of(results, one)
        if standing is Standing.PASSES:
            passed += 1
        elif standing in (Standing.BELOW, Standing.FAILED) and not (
            one.pseudonym in undecided or may_pass(results, one, standing)
        ):
            failed.append(one)
        else:
            waiting.append(one)
    return ByStanding(tuple(failed), tuple(waiting), results.missing, passed)


def may_pass(results: SetResults, one: StudentResult, standing: Standing) -> bool:
    """Return whether the answers that wait could still bring a student to the cut score."""
    if standing is not Standing.BELOW or not one.open:
        return False
    more = sum((part.mark.points - part.earned for part in one.parts if part.open), Fraction(0))
    return 100 * (one.earned + more) >= results.sealed.cut_score * results.sealed.points
