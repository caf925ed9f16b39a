"""The pages of one student in a set: answers, why they have their marks, feedback and plans as they were written."""

from __future__ import annotations

from pathlib import Path

from calclib.class_files.names import visible
from calclib.collecting.plain_file import read_plain_file
from calclib.desk.class_pages import found_cases, set_values
from calclib.desk.talk_forms import talk_values
from calclib.desk.visit import Shown, Visit
from calclib.errors import BadInput
from calclib.gradebook import SetResults, StudentResult
from calclib.gradebook.standing import standing_told
from calclib.pages import explanation
from calclib.pages.templating import own_script
from calclib.pages.waiting import typed_shown
from calclib.quantity.writing import percent_text, points_text
from calclib.wording import fact, of_kind, said, sentence


def student_page(visit: Visit, name: str, student: str, *, status: int = 200) -> Shown:
    """Return a student's answers with their marks, each leading to a ruling, what was talked over, and the pages.

    Args:
        visit: The request.
        name: The set.
        student: The student's id.
        status: The HTTP status.

    Raises:
        BadInput: no such set or student.
    """
    cases = found_cases(visit, name)
    results, at = cases.results, visit.addresses
    one = student_of(results, student)
    slots = {slot.number: slot.of_attempt(one.pseudonym, one.attempt) for slot in results.sealed.slots}
    answers = []
    for part in one.parts:
        mark = part.mark
        slot = slots[mark.slot]
        answers.append(
            {
                "id": f"q{mark.slot}" if mark.part == next(iter(slot.points)) else "",
                "place": slot.place(mark.part),
                "asks": slot.words(mark.part) if len(slot.points) > 1 else slot.title,
                "typed": typed_shown(mark.typed),
                "verdict": said("desk.waits") if part.open else sentence(of_kind("verdict_name", mark.verdict)),
                "points": said("report.of", count=points_text(part.earned), of=points_text(mark.points)),
                "link": at.answer(name, student, mark.slot, mark.part),
                "why": f"{at.student(name, student, 'explanation')}?problem={mark.slot}",
            }
        )
    return visit.show(
        "student.html",
        {
            **set_values(cases),
            "name": one.student.name,
            "id": student,
            "score": _score(results, one),
            "standing": sentence(standing_told(results, one)) if one.parts else said("report.note_nothing_handed_in"),
            "answers": answers,
            "explanation": at.student(name, student, "explanation") if one.parts else "",
            "feedback": _there(visit.where.feedback(name, student), at.student(name, student, "feedback")),
            "plans": plan_links(visit, name, one),
            **talk_values(visit, results, one),
        },
        status=status,
    )


def plan_links(visit: Visit, name: str, one: StudentResult) -> list[dict[str, str]]:
    """Return the plans that were written for a student, each with its address and what it is called.

    Args:
        visit: The request.
        name: The set.
        one: The student's result.
    """
    address = visit.addresses.student(name, one.student.id, "plan")
    return [
        {"link": f"{address}?attempt={number}", "told": said("desk.plan", attempt=number)}
        for number in range(1, one.attempts + 2)
        if visit.where.plan(name, one.student.id, number).is_file()
    ]


def explanation_page(visit: Visit, name: str, student: str, problem: str) -> Shown:
    """Return why a student's answers have their marks, to be printed.

    Args:
        visit: The request.
        name: The set.
        student: The student's id.
        problem: Number of the problem as it stands in the address; "" for all.

    Raises:
        BadInput: no such set, student or problem.
    """
    if problem and not (problem.isascii() and problem.isdigit() and len(problem) < 4):
        raise BadInput(fact("errors_desk.no_number_of_a_problem", text=visible(problem)))
    text = explanation(visit.folder, name, student, int(problem) if problem else None)
    back = visit.addresses.student(name, student)
    values = {"title": said("desk.explanation"), "text": text, "back": back, "set_name": name}
    return visit.show("explanation.html", {**values, **own_script("print.js", room="calclib.desk")})


def written_page(visit: Visit, name: str, student: str, which: str, attempt: str = "") -> Shown:
    """Return a page of a student as it was written: the file that the student gets.

    Args:
        visit: The request.
        name: The set.
        student: The student's id.
        which: "feedback" or "plan".
        attempt: Number of the attempt after which the plan was written.

    Raises:
        BadInput: no such set or student, or the page was not written yet.
    """
    where = visit.where
    one = student_of(found_cases(visit, name).results, student)
    path: Path | None = None
    if which == "feedback":
        path = where.feedback(name, one.student.id)
    elif attempt.isascii() and attempt.isdigit() and len(attempt) < 4:
        path = where.plan(name, one.student.id, int(attempt))
    data = None if path is None or where.reached_by_link(path) else read_plain_file(path)
    if not isinstance(data, bytes):
        raise BadInput(fact("errors_desk.not_written"))
    return Shown(data)


def student_of(results: SetResults, student: str) -> StudentResult:
    """Return the result of a student by id.

    Raises:
        BadInput: no such student is on the roster.
    """
    for one in results.students:
        if one.student.id == student:
            return one
    raise BadInput(fact("errors_releasing.not_on_roster", student=visible(student)))


def _score(results: SetResults, one: StudentResult) -> str:
    if not one.parts or (one.aside and one.open):
        return ""
    return said(
        "change.score_percent",
        points=points_text(one.earned),
        of=points_text(results.sealed.points),
        percent=percent_text(results.percent(one)),
    )


def _there(path: Path, link: str) -> str:
    return link if path.is_file() else ""
