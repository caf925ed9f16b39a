"""The answers behind the figures: every wrong answer, by problem and by mistake, with the way to the student's page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from calclib.analysis.faults import fault_counts
from calclib.gradebook.results import PartResult, SetResults, StudentResult
from calclib.pages.report.titles import place_of, title_of
from calclib.pages.report.waits import problem_on_page, shortened
from calclib.records.sealed_slots import Slot
from calclib.wording import Fact, fact, fact_from_record, said, sentence

PageOf = Callable[[str], str]


def answers_by_problem(results: SetResults, page_of: PageOf) -> list[dict[str, Any]]:
    """Return, for each problem, the answers that are not right: who, what was typed, what may explain it.

    Args:
        results: The results of the set.
        page_of: Where a student's page lies, by id; "" if there is none.
    """
    wrong: dict[int, list[dict[str, str]]] = {slot.number: [] for slot in results.sealed.slots}
    slots = {slot.number: slot for slot in results.sealed.slots}
    for one in results.judged:
        for part in one.parts:
            if not stands_right(part):
                wrong[part.mark.slot].append(_answer(one, part, slots[part.mark.slot], page_of))
    return [
        {
            "number": slot.number,
            "title": said("report.problem_title", number=slot.number, title=title_of(slot)),
            "skill": slot.skill,
            "count": said("report.not_right", count=len(wrong[slot.number])),
            "answers": wrong[slot.number],
        }
        for slot in results.sealed.slots
    ]


def stands_right(part: PartResult) -> bool:
    """Return whether an answer counts as right, a person's points before the judge's verdict."""
    return part.mark.right if part.manual is None else part.manual >= part.mark.points


def answers_by_fault(results: SetResults, page_of: PageOf) -> dict[str, list[dict[str, str]]]:
    """Return, for each kind of mistake, the answers that it may explain.

    Args:
        results: The results of the set.
        page_of: Where a student's page lies, by id; "" if there is none.
    """
    slots = {slot.number: slot for slot in results.sealed.slots}
    found: dict[str, list[dict[str, str]]] = {}
    for one in results.judged:
        for part in one.parts:
            for fault in dict.fromkeys(str(cause["fault"]) for cause in part.mark.causes):
                found.setdefault(fault, []).append(_answer(one, part, slots[part.mark.slot], page_of))
    return found


def _answer(one: StudentResult, part: PartResult, slot: Slot, page_of: PageOf) -> dict[str, str]:
    mark = part.mark
    return {
        "name": one.student.name,
        "link": problem_on_page(page_of(one.student.id), mark.slot),
        "place": place_of(slot, slot.of_attempt(one.pseudonym, one.attempt), mark.part),
        "told": sentence(_told(part)),
    }


def _told(part: PartResult) -> Fact:
    mark = part.mark
    if not mark.typed.strip():
        return fact("report.wrong_blank")
    typed = shortened(mark.typed)
    if part.open:
        return fact("report.wrong_waits", typed=typed)
    first = fault_counts([mark.causes])[:1] if mark.causes else ()
    if not first:
        return fact("report.wrong", typed=typed)
    clause = next(fact_from_record(cause["what"]) for cause in mark.causes if cause["fault"] == first[0].fault)
    return fact("report.wrong_surely" if first[0].certain else "report.wrong_perhaps", typed=typed, clause=clause)
