"""What needs a person: notebooks set aside, answers that nobody could read, students of whom nothing came."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from calclib.gradebook.results import PartResult, SetResults, StudentResult
from calclib.records.sealed_slots import Slot
from calclib.records.set_aside_facts import for_faculty
from calclib.wording import Fact, fact, sentence
from calclib.wording.messages import recorded_reason

FIRST = 3
"""So many stand on the first screen; the others are folded below them."""
_TYPED_SHOWN = 80


def needs_a_person(results: SetResults, page_of: Callable[[str], str]) -> list[dict[str, str]]:
    """Return what waits for a person, with what was typed, and where the answer stands.

    Args:
        results: The results of the set.
        page_of: Where a student's page lies, by id; "" if there is none.
    """
    return [{"told": sentence(told), "link": link} for told, link in _waits(results, page_of)]


def _waits(results: SetResults, page_of: Callable[[str], str]) -> Iterable[tuple[Fact, str]]:
    for one in results.marked:
        if one.aside and one.open:
            yield fact("report.notebook_aside", who=who(one), reason=for_faculty(one.aside)), page_of(one.student.id)
    slots = {slot.number: slot for slot in results.sealed.slots}
    for one in results.judged:
        for part in one.parts:
            if part.open:
                where = problem_on_page(page_of(one.student.id), part.mark.slot)
                slot = slots[part.mark.slot].of_attempt(one.pseudonym, one.attempt)
                yield _answer_waits(one, part, slot), where
    if results.missing:
        missing = tuple(fact("report.who", name=student.name, id=student.id) for student in results.missing)
        yield fact("report.missing", students=missing), ""


def problem_on_page(page: str, slot: int) -> str:
    """Return where a problem stands on a student's page, "" if there is no page."""
    return f"{page}#q{slot}" if page else ""


def who(one: StudentResult) -> Fact:
    """Return a student's name and id."""
    return fact("report.who", name=one.student.name, id=one.student.id)


def shortened(typed: str) -> str:
    """Return what was typed, cut off where it is long."""
    return typed if len(typed) <= _TYPED_SHOWN else f"{typed[: _TYPED_SHOWN - 1]}…"


def _answer_waits(one: StudentResult, part: PartResult, slot: Slot) -> Fact:
    mark = part.mark
    message: str | Fact = recorded_reason(mark.detail)
    if part.manual is not None:
        message = fact("report.by_hand_too", message=message)
    place, name = slot.place(mark.part), slot.words(mark.part)
    told = fact("report.answer_waits", who=who(one), place=place, part=name, message=message)
    return fact("report.answer_typed", answer=told, typed=shortened(mark.typed)) if mark.typed else told
