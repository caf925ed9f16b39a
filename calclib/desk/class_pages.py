"""The pages of a class as a whole: its sets, one set with what waits, and the class report."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from calclib.collecting.can_accept import acceptance
from calclib.desk.addresses import Addresses
from calclib.desk.state import state_of
from calclib.desk.visit import Shown, Visit
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import set_results
from calclib.pages.cases import Case, CaseKind, Cases, cases_of
from calclib.pages.class_report import day_handed_out, found_about, report_values
from calclib.pages.report.passed import passed
from calclib.pages.report.scores import scores
from calclib.pages.report.titles import title_of
from calclib.pages.waiting import ruling_told, typed_shown, waiting_heads
from calclib.records import in_force, policies_in_words, reading
from calclib.records.sealed import sets_in_order
from calclib.wording import fact, said, sentence


def sets_page(visit: Visit) -> Shown:
    """Return the list of the sets that were handed out, the newest first."""
    where = visit.where
    with reading(where) as connection:
        names = sets_in_order(connection)
    rows = []
    for name in reversed(names):
        cases = cases_of(visit.folder, name)
        told = passed(cases.results, {})
        rows.append(
            {
                "link": visit.addresses.of_set(name),
                "report": visit.addresses.of_set(name, "report"),
                "title": cases.results.sealed.title,
                "name": name,
                "handed_out": day_handed_out(cases.results),
                "passed": said("desk.passed", figure=told["figure"]) if told["figure"] else said("desk.none_marked"),
                "waits": said("desk.cases", count=len(cases.every)),
            }
        )
    return visit.show("sets.html", {"course": where.course, "sets": rows})


def set_page(visit: Visit, name: str, *, status: int = 200) -> Shown:
    """Return one set: who passed, what waits for a person, the students, the problems and the rulings.

    Args:
        visit: The request.
        name: The set.
        status: The HTTP status.

    Raises:
        BadInput: no such set was handed out.
    """
    cases = found_cases(visit, name)
    results, at = cases.results, visit.addresses
    rows = scores(results, {}, lambda student: at.student(name, student))
    holding = {one.number for one in in_force(cases.rulings)}
    return visit.show(
        "set.html",
        {
            **set_values(cases),
            "passed": passed(results, {}),
            "heads": waiting_heads(cases),
            "cases": [_case(at, name, case) for case in cases.every],
            "students": rows,
            "problems": [
                {"link": at.problem(name, slot.number), "title": f"{slot.number}. {title_of(slot)}"}
                for slot in results.sealed.slots
            ],
            "rulings": [
                {
                    "told": sentence(ruling_told(cases, one)),
                    "number": one.number if one.number in holding and one.kind != "withdraw" else 0,
                }
                for one in cases.rulings
            ],
        },
        status=status,
    )


def set_values(cases: Cases) -> dict[str, Any]:
    """Return what every page of a set says: its title and name, when it went out, and what stands for its state."""
    sealed = cases.results.sealed
    return {
        "title": sealed.title,
        "set_name": sealed.name,
        "handed_out": day_handed_out(cases.results),
        "state": state_of(cases),
    }


def report(visit: Visit, name: str) -> Shown:
    """Return the class report as it is now, each answer leading to the student's page of the desk."""
    where = visit.where
    results = set_results(where, name)
    with reading(where) as connection:
        words = policies_in_words(connection, results.sealed)
    found = replace(found_about(where, results), page_of=lambda student: visit.addresses.student(name, student))
    return visit.show("desk_report.html", report_values(results, words, found))


def found_cases(visit: Visit, name: str) -> Cases:
    """Return what waits in a set, and whether a notebook or hand-in can be marked at all."""
    can = acceptance(visit.folder, name)
    return cases_of(visit.folder, name, notebook_fits=can.notebook, hand_in_fits=can.hand_in)


def _case(at: Addresses, name: str, case: Case) -> dict[str, Any]:
    return {"link": case_address(at, name, case), "what": _what(case), "lines": list(case_lines(case))}


def case_address(at: Addresses, name: str, case: Case) -> str:
    """Return the page on which a case is settled."""
    if case.kind is CaseKind.HAND_IN:
        return at.hand_in(name, case.student, case.sign)
    attempt = f"?attempt={case.attempt}" if case.attempt else ""
    if case.kind in (CaseKind.NOTEBOOK, CaseKind.TIME):
        return at.student(name, case.student, case.kind.value) + attempt
    return at.answer(name, case.student, case.slot, case.part) + attempt


def case_lines(case: Case) -> Iterator[str]:
    """Give what a person should know of a case: what was typed, what is right, why it waits."""
    if case.slot:
        typed = typed_shown(case.typed)
        yield said("explain.typed", text=typed) if typed else said("explain.typed_nothing")
    if case.right:
        yield said("desk.right", answer=case.right)
    if case.why and case.kind is not CaseKind.TIME:
        yield unseen_shown(sentence(case.why) if not isinstance(case.why, str) else case.why)
    if case.path:
        yield said("desk.look", path=case.path, time=case.time)
    for told in case.more:
        yield sentence(told)


def _what(case: Case) -> str:
    if case.kind is CaseKind.NOTEBOOK:
        return said("waiting.notebook", who=case.who)
    if case.kind is CaseKind.HAND_IN:
        return said("waiting.hand_in", who=case.who, sign=case.sign)
    if case.kind is CaseKind.TIME:
        return case.why if isinstance(case.why, str) else sentence(case.why)
    if case.kind is CaseKind.FAILURE:
        return said("waiting.failure", who=case.who, place=case.place)
    if case.kind is CaseKind.FAILURE_BELOW:
        told = fact("waiting.answer", who=case.who, place=case.place)
        return said("desk.below_anyway", what=told)
    if case.asks:
        return said("waiting.answer_of_part", who=case.who, place=case.place, part=case.asks)
    return said("waiting.answer", who=case.who, place=case.place)
