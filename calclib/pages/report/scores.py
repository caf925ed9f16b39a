"""The table of students: points, score, result, attempts and what else is to be known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from calclib.gradebook.attempt_results import AttemptResult
from calclib.gradebook.results import SetResults, StudentResult
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages.class_standings import attempts_cell, failures_told, standing_cell
from calclib.quantity.writing import percent_text, points_text
from calclib.wording import Fact, fact, said


def scores(
    results: SetResults, attempts: Mapping[str, tuple[AttemptResult, ...]], page_of: Callable[[str], str]
) -> list[dict[str, str]]:
    """Return the rows of the table, in the order of the roster.

    Args:
        results: The results of the set.
        attempts: Every marked attempt, by the id of the student.
        page_of: Where a student's page lies, by id; "" if there is none.
    """
    return [
        _student(results, one) | {"page": page_of(one.student.id)} | attempts_cell(attempts, one)
        for one in results.students
    ]


def _student(results: SetResults, one: StudentResult) -> dict[str, str]:
    row = {"name": one.student.name, "id": one.student.id}
    if not one.parts:
        note = said("report.note_nothing_handed_in")
        return row | {"points": "", "percent": "", "cut": "", "tone": "", "note": note}
    row |= {"points": points_text(one.earned), "note": said("report.notes", notes=tuple(_notes(results, one)))}
    if one.aside and one.open:
        return row | {"percent": ""} | standing_cell(Standing.UNDECIDED)
    return row | {"percent": percent_text(results.percent(one))} | standing_cell(standing_of(results, one))


def _notes(results: SetResults, one: StudentResult) -> Iterable[Fact]:
    if one.aside:
        yield fact("report.note_aside" if one.open else "report.note_aside_ruled")
    elif one.open:
        yield fact("report.note_awaits_review")
    yield from failures_told(results, one)
    if one.penalty:
        yield fact("report.note_late", penalty=points_text(one.penalty))
    if any(part.manual is not None for part in one.parts):
        yield fact("report.note_by_hand")
