"""Where a student stands in a set, and in words by which rule: every page and count asks here."""

from __future__ import annotations

from enum import StrEnum

from calclib.gradebook.results import SetResults, StudentResult
from calclib.quantity.writing import percent_text
from calclib.records.part_marks import Fails
from calclib.wording.facts import Fact, fact


class Standing(StrEnum):
    """What decides whether a student passes a set; its words have the same names."""

    PASSES = "passes"
    BELOW = "below"
    FAILED = "failed"
    FAILURE_WAITS = "failure_waits"
    UNDECIDED = "undecided"


def standing_of(results: SetResults, one: StudentResult) -> Standing:
    """Return where a student stands, whose notebook was marked or set aside.

    Whoever is below the cut score is so whatever else is found; an error decides only where the score would pass.
    """
    if one.aside and one.open:
        return Standing.UNDECIDED
    if not results.scores_cut(one):
        return Standing.BELOW
    if one.failed_outright:
        return Standing.FAILED
    return Standing.FAILURE_WAITS if one.failure_waits else Standing.PASSES


def failing_places(results: SetResults, one: StudentResult, fails: Fails) -> tuple[str, ...]:
    """Return the problems, as the notebook prints them, whose error fails the whole set, or would once confirmed."""
    slots = {slot.number: slot for slot in results.sealed.slots}
    return tuple(slots[mark.slot].place(mark.part) for mark in one.failing(fails))


def standing_told(results: SetResults, one: StudentResult) -> Fact:
    """Return whether a student passes and by which rule, for the student and for faculty."""
    if standing_of(results, one) is Standing.UNDECIDED:
        return fact("standing.undecided_yet")
    cut, reached = percent_text(results.sealed.cut_score), results.scores_cut(one)
    failing = failing_places(results, one, Fails.EXAM)
    if failing:
        errors = fact("standing.errors_fail", places=failing)
        return fact("standing.reached_failed" if reached else "standing.not_reached_failed", cut=cut, errors=errors)
    waiting = failing_places(results, one, Fails.EXAM_WAITS)
    if waiting:
        errors = fact("standing.errors_fail", places=waiting)
        return fact("standing.reached_waits" if reached else "standing.not_reached_waits", cut=cut, errors=errors)
    return fact("standing.reached" if reached else "standing.not_reached", cut=cut)
