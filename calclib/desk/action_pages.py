"""What is started at the desk: feedback and report written, plans for those who failed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from calclib.class_files.names import visible
from calclib.desk.class_pages import found_cases, set_page, set_values
from calclib.desk.state import state_of
from calclib.desk.student_pages import plan_links
from calclib.desk.visit import Shown, Visit
from calclib.errors import BadInput, CalclibError
from calclib.gradebook.standing import Standing, standing_of
from calclib.pages import write_feedback, write_report
from calclib.pages.after_exam.plans import write_plans
from calclib.pages.after_exam.plans_told import plan_lines
from calclib.pages.class_standings import standing_cell
from calclib.wording import fact, said


def write_pages(visit: Visit, name: str, fields: Mapping[str, str]) -> Shown:
    """Write the feedback pages and the class report, as `calclib report` does, and say so.

    Raises:
        BadInput: no such set was handed out.
    """
    if _stale(visit, name, fields):
        return set_page(visit.saying(said("desk.stale"), refused=True), name, status=409)
    written = write_feedback(visit.folder, name)
    page = write_report(visit.folder, name)
    where = visit.where.path
    told = [
        said("marking.pages", count=len(written.pages), folder=str(where / "feedback")),
        said("marking.class_report", file=str(page)),
    ]
    return set_page(visit.saying(" ".join(told)), name)


def remediation_page(visit: Visit, name: str, lines: tuple[str, ...] = (), *, status: int = 200) -> Shown:
    """Return who failed a set, with the plans that were written, and the form that writes them.

    Args:
        visit: The request.
        name: The set.
        lines: What was just written.
        status: The HTTP status.

    Raises:
        BadInput: no such set was handed out.
    """
    cases = found_cases(visit, name)
    results, at = cases.results, visit.addresses
    rows = []
    for one in results.marked:
        standing = standing_of(results, one)
        plans = plan_links(visit, name, one)
        if standing is not Standing.PASSES or plans:
            rows.append(
                {
                    "name": one.student.name,
                    "id": one.student.id,
                    "link": at.student(name, one.student.id),
                    **standing_cell(standing),
                    "plans": plans,
                }
            )
    values = {**set_values(cases), "students": rows, "lines": lines}
    return visit.show("remediation.html", values, status=status)


def start_remediation(visit: Visit, name: str, fields: Mapping[str, str], *, now: dt.datetime) -> Shown:
    """Write plans, as `calclib remedy` does, and say for whom.

    Args:
        visit: The request.
        name: The set.
        fields: What came back: until, no_weekends, only.
        now: The time that is recorded.

    Raises:
        BadInput: no such set was handed out.
    """
    if _stale(visit, name, fields):
        return remediation_page(visit.saying(said("desk.stale"), refused=True), name, status=409)
    try:
        written = write_plans(
            visit.folder,
            name,
            now=now,
            until=_day(fields.get("until", "")),
            weekends=not fields.get("no_weekends"),
            students=tuple(filter(None, (fields.get("only", ""),))),
        )
    except CalclibError as refused:
        return remediation_page(visit.saying(str(refused), refused=True), name, status=400)
    first, *lines = plan_lines(written, str(visit.where.path / "plans"))
    return remediation_page(visit.saying(first), name, tuple(lines))


def _stale(visit: Visit, name: str, fields: Mapping[str, str]) -> bool:
    return fields.get("state") != state_of(found_cases(visit, name))


def _day(text: str) -> dt.date | None:
    if not text.strip():
        return None
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(fact("errors_desk.day", text=visible(text))) from None
