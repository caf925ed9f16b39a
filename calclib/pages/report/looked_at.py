"""Which problems are suspect and why, in words; or that a class is too small to tell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from calclib.analysis.copies import Sheet
from calclib.analysis.item_statistics import SOME_USE, ItemStatistics
from calclib.analysis.problems import Problem
from calclib.analysis.suspects import (
    Suspect,
    failed_by_the_able,
    negative_beyond_chance,
    often_ruled_on,
    shared_wrong_answers,
)
from calclib.gradebook.results import SetResults
from calclib.pages.report.titles import title_of
from calclib.quantity.writing import percent_text
from calclib.wording import Fact, fact, of_kind, said, sentence


def suspects(
    results: SetResults,
    students: Mapping[str, Sequence[Problem]],
    sheets: Sequence[Sheet],
    statistics: Mapping[int, ItemStatistics],
) -> tuple[Suspect, ...]:
    """Return the reasons to look at a problem, in the order of the set.

    Args:
        results: The results of the set.
        students: What each student did in the first attempt, by id.
        sheets: The keys and unexplained wrong answers of each student.
        statistics: Of each problem, by its number.
    """
    slots = [slot for slot in results.sealed.slots if slot.number not in results.left_out]
    numbers = {slot.number for slot in slots}
    found = (
        *failed_by_the_able(students.values(), results.sealed.cut_score / 100),
        *(one for one in shared_wrong_answers(sheets, results.sealed.slots) if one.slot in numbers),
        *negative_beyond_chance(statistics),
        *often_ruled_on(results.rulings, [slot.number for slot in slots]),
    )
    return tuple(sorted(found, key=lambda one: one.slot))


def looked_at(results: SetResults, found: Sequence[Suspect]) -> list[dict[str, str]]:
    """Return what is said of each suspect problem, and where its answers stand."""
    slots = {slot.number: slot for slot in results.sealed.slots}
    cut = percent_text(results.sealed.cut_score)
    rows: dict[int, list[Fact]] = {}
    for one in found:
        told = of_kind("report", f"suspect_{one.sign.value}", count=one.count, of=one.of, cut=cut)
        rows.setdefault(one.slot, []).append(told)
    return [
        {
            "title": said("report.problem_title", number=number, title=title_of(slots[number])),
            "why": " ".join(map(sentence, why)),
            "link": f"#problem-{number}",
        }
        for number, why in rows.items()
    ]


def nothing_suspect(students: int) -> str:
    """Return what is said where no problem is suspect: nothing was found, or not everything could be looked for."""
    if students < SOME_USE:
        return sentence(fact("report.none_suspect_few", students=students, least=SOME_USE))
    return said("report.none_suspect")
