"""Skills by student: how well each has each, in a table that can be put in order by need, by score and by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from calclib.analysis.mastery import Holds, Mastery, mastery_by_skill
from calclib.analysis.problems import Problem
from calclib.gradebook.results import SetResults
from calclib.gradebook.standing import standing_of
from calclib.pages.class_standings import standing_cell
from calclib.quantity.writing import percent_text
from calclib.wording import of_kind, sentence

# Sign and number stand in each cell, so that nothing hangs on its color.
_SIGNS = {Holds.SECURE: "✓", Holds.UNSURE: "", Holds.NEEDS_PRACTICE: "✗"}


def heat_map(
    results: SetResults,
    students: Mapping[str, Sequence[Problem]],
    earlier: Mapping[str, Sequence[Problem]],
    page_of: Callable[[str], str],
) -> dict[str, Any]:
    """Return the table of skills by student, those with the greatest need first.

    Args:
        results: The results of the set.
        students: What each student did in the attempt that counts, by id.
        earlier: What each student did in sets before it, the earliest first.
        page_of: Where a student's page lies, by id; "" if there is none.
    """
    skills = _skills(results)
    judged = [one for one in results.judged if one.student.id in students]
    known = {
        one.student.id: mastery_by_skill((*earlier.get(one.student.id, ()), *students[one.student.id]))
        for one in judged
    }
    by_name = sorted(judged, key=lambda one: one.student.name.casefold())
    by_score = sorted(by_name, key=results.percent)
    by_need = sorted(by_score, key=lambda one: -_needs(known[one.student.id], skills))
    places = [{one.student.id: n for n, one in enumerate(order)} for order in (by_name, by_score, by_need)]
    rows = [
        {
            "id": one.student.id,
            "name": one.student.name,
            "page": page_of(one.student.id),
            "score": percent_text(results.percent(one)),
            **standing_cell(standing_of(results, one)),
            "by_name": places[0][one.student.id],
            "by_score": places[1][one.student.id],
            "by_need": places[2][one.student.id],
            "cells": [_cell(known[one.student.id].get(skill)) for skill in skills],
            "told": _told(skills, known[one.student.id]),
        }
        for one in by_need
    ]
    heads = [{"skill": skill, "link": f"#problem-{slot}"} for skill, slot in skills.items()]
    return {"skills": heads, "rows": rows}


def _skills(results: SetResults) -> dict[str, int]:
    """The skills of the set in its order, each with its first problem."""
    found: dict[str, int] = {}
    for slot in results.sealed.slots:
        if slot.number not in results.left_out:
            found.setdefault(slot.skill, slot.number)
    return found


def _needs(known: Mapping[str, Mastery], skills: Mapping[str, int]) -> int:
    return sum(known[skill].holds is Holds.NEEDS_PRACTICE for skill in skills if skill in known)


def _cell(one: Mastery | None) -> dict[str, str]:
    if one is None:
        return {"text": "", "level": ""}
    wrong = Fraction(one.tried - one.right, one.tried)
    # Four tints, the more wrong the stronger; none where all is right.
    level = f"w{-(-wrong.numerator * 4 // wrong.denominator)}" if wrong else ""
    return {"text": f"{one.right}/{one.tried} {_SIGNS[one.holds]}".strip(), "level": level}


def _told(skills: Mapping[str, int], known: Mapping[str, Mastery]) -> list[str]:
    """What the records say of each skill that isn't all right, with how uncertain that is."""
    weak = [(skill, known[skill]) for skill in skills if skill in known and known[skill].right < known[skill].tried]
    return [
        sentence(of_kind("report", f"mastery_{one.holds.value}", skill=skill, **_fields(one))) for skill, one in weak
    ]


def _fields(one: Mastery) -> dict[str, str | int]:
    low, high = (percent_text(100 * end) for end in one.interval)
    return {"right": one.right, "tried": one.tried, "low": low, "high": high}
