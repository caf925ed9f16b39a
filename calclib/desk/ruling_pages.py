"""Rulings at the desk: what can be ruled on a case, who gains and who loses by it, and the ruling recorded."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from calclib.answers import marking_policies
from calclib.class_files.names import visible
from calclib.desk.choices import (
    Choice,
    Selected,
    answer_choices,
    hand_in_choices,
    notebook_choices,
    problem_choices,
    time_choices,
    whole_choices,
)
from calclib.desk.class_pages import case_lines, found_cases, set_page, set_values
from calclib.desk.forms import OF_RULING, is_number, ruling_request
from calclib.desk.state import state_of
from calclib.desk.student_pages import student_of
from calclib.desk.visit import Shown, Visit
from calclib.errors import BadInput, CalclibError
from calclib.gradebook.waiting_attempts import result_of_attempt, right_answers
from calclib.judging_papers import RulingRequest, make_ruling
from calclib.judging_papers.make_ruling import OutcomeChangedError, RulingOutcome
from calclib.pages.cases import Case, CaseKind, Cases, answer_case
from calclib.pages.changed_marks import (
    SHOWN,
    change_told,
    further_lines,
    in_order,
    key_lines,
    note_lines,
    reasons_told,
    resubmitted_lines,
    summary_lines,
)
from calclib.pages.report.titles import title_of
from calclib.quantity import rounding_policies
from calclib.records import reading, ruled_on, ruling_fact
from calclib.records.sealed_slots import Slot
from calclib.records.set_times import zone_of
from calclib.wording import Fact, fact, said, sentence


def answer_page(
    visit: Visit, name: str, student: str, slot: int, part: str, attempt: str = "", *, status: int = 200
) -> Shown:
    """Return one answer with what can be ruled on it.

    Args:
        visit: The request.
        name: The set.
        student: The student's id.
        slot: Number of the problem.
        part: Name of the part.
        attempt: Number of the attempt as it stands in the address; "" for the one that counts.
        status: The HTTP status.

    Raises:
        BadInput: no such set, student, problem or part, or nothing of the student was marked there.
    """
    cases = found_cases(visit, name)
    counts = student_of(cases.results, student)
    with reading(visit.where) as connection:
        wanted = int(attempt) if is_number(attempt) else counts.attempt
        one = result_of_attempt(connection, cases.results, counts, wanted) or counts
    found = next((each for each in one.parts if (each.mark.slot, each.mark.part) == (slot, part)), None)
    if found is None:
        raise BadInput(fact("errors_desk.no_answer"))
    with reading(visit.where) as connection:
        keys = right_answers(connection, cases.results, one)
    other = one.attempt if one.attempt != counts.attempt else 0
    case = replace(answer_case(cases.results, one, found, keys), attempt=other)
    told = fact("waiting.answer", who=case.who, place=case.place)
    if case.asks:
        told = fact("waiting.answer_of_part", who=case.who, place=case.place, part=case.asks)
    links = {
        "why": f"{visit.addresses.student(name, student, 'explanation')}?problem={slot}",
        "everyone": visit.addresses.problem(name, slot),
        "student": visit.addresses.student(name, student),
    }
    hidden = {"student": student, "problem": str(slot), "part": part, **({"attempt": str(other)} if other else {})}
    return _form(visit, cases, told, answer_choices(found.mark), hidden, case_lines(case), links, status=status)


def notebook_page(visit: Visit, name: str, student: str, attempt: str = "") -> Shown:
    """Return what can be ruled on a notebook that was set aside."""
    cases = found_cases(visit, name)
    case = _case(cases, student, CaseKind.NOTEBOOK, attempt=attempt)
    hidden = {"student": student, **({"attempt": attempt} if case.attempt else {})}
    told = fact("waiting.notebook", who=case.who)
    links = {"student": visit.addresses.student(name, student)}
    return _form(visit, cases, told, notebook_choices(case), hidden, case_lines(case), links)


def time_page(visit: Visit, name: str, student: str) -> Shown:
    """Return what can be ruled on a hand-in of which the time isn't known."""
    cases = found_cases(visit, name)
    case = _case(cases, student, CaseKind.TIME)
    assert isinstance(case.why, Fact), "why a time is asked for is told as a fact"
    links = {"student": visit.addresses.student(name, student)}
    return _form(visit, cases, case.why, time_choices(), {"student": student}, case_lines(case), links)


def hand_in_page(visit: Visit, name: str, student: str, sign: str) -> Shown:
    """Return what can be ruled on a hand-in in a student's name."""
    cases = found_cases(visit, name)
    case = _case(cases, student, CaseKind.HAND_IN, sign)
    told = fact("waiting.hand_in", who=case.who, sign=case.sign)
    return _form(
        visit, cases, told, hand_in_choices(case), {"student": student, "sign": case.sign}, case_lines(case), {}
    )


def problem_page(visit: Visit, name: str, slot: int) -> Shown:
    """Return what can be ruled on a problem for everyone.

    Raises:
        BadInput: no such set or problem.
    """
    cases = found_cases(visit, name)
    found = _slot(cases, slot)
    told = fact("desk.problem_of_everyone", number=str(slot), title=title_of(found))
    return _form(visit, cases, told, problem_choices(found), {"problem": str(slot)}, (), {}, parts=_parts(found))


def whole_page(visit: Visit, name: str) -> Shown:
    """Return what can be ruled on a whole set."""
    cases = found_cases(visit, name)
    choices = whole_choices(tuple(marking_policies()), tuple(rounding_policies()), bool(cases.of(CaseKind.TIME)))
    return _form(visit, cases, fact("desk.whole_set"), choices, {}, (), {})


def preview_page(visit: Visit, name: str, fields: Mapping[str, str], *, status: int = 200) -> Shown:
    """Return who gains and who loses by a ruling, as the ruling itself would find it, with nothing written.

    Args:
        visit: The request.
        name: The set.
        fields: What came back in the form.
        status: The HTTP status.

    Raises:
        BadInput: no such set.
    """
    cases = found_cases(visit, name)
    if fields.get("state") != state_of(cases):
        return _place(visit.saying(said("desk.stale"), refused=True), name, fields, status=409)
    return _preview(visit, cases, fields, status=status)


def record_ruling(visit: Visit, name: str, fields: Mapping[str, str], *, now: dt.datetime) -> Shown:
    """Record a ruling, if it still leads to what the person was shown, and go back to the set.

    Args:
        visit: The request.
        name: The set.
        fields: What came back in the form, with "seen", what stands for what was shown.
        now: The time that is recorded.

    Raises:
        BadInput: no such set.
    """
    cases = found_cases(visit, name)
    if not fields.get("reason", "").split():
        return _preview(visit.saying(said("desk.reason_missing"), refused=True), cases, fields, status=400)
    try:
        done = make_ruling(visit.folder, name, _request(cases, fields), now=now, seen=fields.get("seen", ""))
    except OutcomeChangedError as changed:
        return _preview(visit.saying(str(changed), refused=True), found_cases(visit, name), fields, status=409)
    except CalclibError as refused:
        return _place(visit.saying(str(refused), refused=True), name, fields, status=400)
    return Shown(go_to=f"{visit.addresses.of_set(name)}?ruling={done.ruling.number}")


def recorded_message(visit: Visit, name: str, number: str) -> str:
    """Return what is said after a ruling was recorded; "" if there is none of that number."""
    for ruling in found_cases(visit, name).rulings:
        if str(ruling.number) == number:
            return said("desk.recorded", number=ruling.number, what=ruling_fact(ruling))
    return ""


def _preview(visit: Visit, cases: Cases, fields: Mapping[str, str], *, status: int) -> Shown:
    name = cases.results.sealed.name
    try:
        request = _request(cases, fields)
        now = dt.datetime.now(dt.UTC)
        outcome = make_ruling(visit.folder, name, request, now=now, preview=True)
    except CalclibError as refused:
        message = " ".join(filter(None, (visit.message, str(refused))))
        return _place(visit.saying(message, refused=True), name, fields, status=max(status, 400))
    where = ruled_on(outcome.ruling, cases.results.sealed.slots)
    return visit.show(
        "ruling_preview.html",
        {
            **set_values(cases),
            "ruling": said("desk.ruling", number=outcome.ruling.number, where=where, what=ruling_fact(outcome.ruling)),
            "who": _who(cases, outcome),
            **_effect(cases, outcome),
            "seen": outcome.sign,
            "hidden": {key: fields[key] for key in OF_RULING if fields.get(key)},
            "reason": fields.get("reason", ""),
            "by": fields.get("by", ""),
        },
        status=status,
    )


def _effect(cases: Cases, outcome: RulingOutcome) -> dict[str, Any]:
    marked = outcome.marked
    every = in_order(marked.changes)
    zone = zone_of(cases.results.sealed)
    return {
        "nobody": said("change.nobody_elses" if marked.resubmitted or marked.further else "change.nobodys"),
        "summary": list(summary_lines(every)) if every else [],
        "changes": [{"told": change_told(one), "answers": list(reasons_told(one))} for one in every[:SHOWN]],
        "more": said("change.more", count=len(every) - SHOWN) if len(every) > SHOWN else "",
        "by_the_way": [*resubmitted_lines(marked.resubmitted, zone), *further_lines(marked.further)],
        "notes": [*key_lines(outcome.keys), *note_lines(outcome.notes)],
    }


def _who(cases: Cases, outcome: RulingOutcome) -> str:
    """Of whom a ruling speaks: a student, or everyone."""
    of = outcome.ruling.pseudonym
    for one in cases.results.students:
        if of and one.pseudonym == of:
            return sentence(fact("report.who", name=one.student.name, id=one.student.id))
    return said("desk.everyone")


def _request(cases: Cases, fields: Mapping[str, str]) -> RulingRequest:
    policies = {"marking": frozenset(marking_policies()), "rounding": frozenset(rounding_policies())}
    return ruling_request(fields, zone_of(cases.results.sealed), policies)


def _place(visit: Visit, name: str, fields: Mapping[str, str], *, status: int) -> Shown:
    """The newest state of what a form is about: the answer if it names one of this class, else the set."""
    student, problem, part = fields.get("student", ""), fields.get("problem", ""), fields.get("part", "")
    if student and is_number(problem) and part:
        try:
            return answer_page(visit, name, student, int(problem), part, fields.get("attempt", ""), status=status)
        except CalclibError:
            pass
    return set_page(visit, name, status=status)


def _form(
    visit: Visit,
    cases: Cases,
    told: Fact,
    choices: Iterable[Choice],
    hidden: Mapping[str, str],
    lines: Iterable[str],
    links: Mapping[str, str],
    *,
    parts: Iterable[Selected] = (),
    status: int = 200,
) -> Shown:
    every = [choice for choice in choices if choice.offered]
    name = cases.results.sealed.name
    return visit.show(
        "ruling_form.html",
        {
            **set_values(cases),
            "about": sentence(told),
            "lines": list(lines),
            "choices": every,
            "hidden": hidden,
            "parts": list(parts),
            "links": {key: links.get(key, "") for key in ("why", "everyone", "student")},
            "preview": visit.addresses.of_set(name, "preview"),
        },
        status=status,
    )


def _case(cases: Cases, student: str, kind: CaseKind, sign: str = "", attempt: str = "") -> Case:
    for case in cases.of(kind):
        if (case.student, case.sign, str(case.attempt or "")) == (student, sign, attempt):
            return case
    raise BadInput(fact("errors_desk.settled_already"))


def _slot(cases: Cases, number: int) -> Slot:
    for slot in cases.results.sealed.slots:
        if slot.number == number:
            return slot
    raise BadInput(fact("errors_desk.no_number_of_a_problem", text=visible(str(number))))


def _parts(slot: Slot) -> Iterable[Selected]:
    if len(slot.points) > 1:
        yield Selected("", said("desk.all_parts"))
        for part in slot.points:
            yield Selected(part, said("desk.part", place=slot.place(part), part=slot.words(part)))
