"""Where a student stands in a set, and in words by which rule: every page and count asks here."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from calclib.gradebook.results import SetResults, StudentResult
from calclib.quantity.writing import percent_text
from calclib.records.part_marks import Fails


class Standing(StrEnum):
    """What decides whether a student passes a set."""

    PASSES = "passes"
    BELOW = "below the cut score"
    FAILED = "an error fails the set"
    FAILURE_WAITS = "an error waits to be confirmed"
    UNDECIDED = "the notebook awaits review"


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


def standing_in_words(results: SetResults, one: StudentResult) -> str:
    """Return whether a student passes and by which rule, as sentences for the student and for faculty."""
    standing = standing_of(results, one)
    if standing is Standing.UNDECIDED:
        return "Whether the set is passed is open until a person has looked at the notebook."
    cut = f"the cut score of {percent_text(results.sealed.cut_score)}"
    reached = results.scores_cut(one)
    failing = failing_places(results, one, Fails.EXAM)
    waiting = failing_places(results, one, Fails.EXAM_WAITS)
    if failing:
        what = f"{_error_in(failing)} the whole set by its marking policy, as a person confirmed"
        if reached:
            return f"The score reaches {cut}, but {what}: the set isn't passed."
        return f"{_capital(cut)} is not reached, and {what}: the set isn't passed."
    if waiting:
        more = f"A person has yet to confirm whether {_error_in(waiting)} the whole set, as its marking policy says."
        if reached:
            return f"{_capital(cut)} is reached. {more} Until then the result waits."
        return f"{_capital(cut)} is not reached. {more}"
    return f"{_capital(cut)} is {'reached' if reached else 'not reached'}."


def places_in_words(places: Sequence[str]) -> str:
    """Return "problem 3b", "problems 1 and 4"."""
    if len(places) == 1:
        return f"problem {places[0]}"
    return f"problems {', '.join(places[:-1])} and {places[-1]}"


def _error_in(places: Sequence[str]) -> str:
    return f"{'an error in' if len(places) == 1 else 'errors in'} {places_in_words(places)} {_fail(places)}"


def _fail(places: Sequence[str]) -> str:
    return "fails" if len(places) == 1 else "fail"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
