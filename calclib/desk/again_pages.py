"""A further attempt at the desk: who may have one, drawn and booked; how parallel it is; talks with a student."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from calclib.class_files.names import visible
from calclib.class_files.standing_rules import standing_rules
from calclib.desk.class_pages import found_cases, set_values
from calclib.desk.state import state_of
from calclib.desk.student_pages import student_page
from calclib.desk.talk_forms import asked_kind
from calclib.desk.visit import Shown, Visit
from calclib.errors import BadInput, CalclibError
from calclib.pages.after_exam.again_told import again_lines, refused_lines, who_told
from calclib.pages.after_exam.parallel_page import parallel_values
from calclib.pages.cases import Cases
from calclib.records import reading
from calclib.records.history import last_line
from calclib.records.set_times import zone_of
from calclib.releasing.coached import TalkChangedError, record_talk
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.releasing.further_attempts.eligible import Eligible
from calclib.wording import fact, said, sentence


def again_page(visit: Visit, name: str, lines: tuple[str, ...] = (), *, status: int = 200) -> Shown:
    """Return who may have a further attempt and who not and why, and the form that draws and books it.

    Args:
        visit: The request.
        name: The set.
        lines: What was just given.
        status: The HTTP status.

    Raises:
        BadInput: no such set was handed out, or the class's `standing.toml` is wrong.
    """
    cases = found_cases(visit, name)
    results = cases.results
    rules = standing_rules(visit.where)
    with reading(visit.where) as connection:
        may = Eligible(connection, results, results.sealed, rules, below_cut=True)
        every = [(one, may.last(one), may.refusal(one)) for one in results.students]
        unprepared = {one.student.id for one, _, reason in every if reason is None and may.unprepared(one)}
        anybody = Eligible(connection, results, results.sealed, rules, below_cut=False)
        others = [one.student for one, _, reason in every if reason and anybody.refusal(one) is None]
    rows = [
        {
            "id": one.student.id,
            "told": sentence(who_told(one.student)),
            "link": visit.addresses.student(name, one.student.id),
            "attempt": last + 1,
            "unprepared": one.student.id in unprepared,
            "waits": one.open,
        }
        for one, last, reason in every
        if reason is None
    ]
    refused = [(one.student, reason) for one, _, reason in every if reason is not None]
    values = {
        **set_values(cases),
        "state": _state(visit, cases),
        "students": rows,
        "others": [{"id": one.id, "told": sentence(who_told(one))} for one in others],
        "refused": list(refused_lines(refused)),
        "lines": lines,
        "parallel": any(one.attempts > 1 for one in results.students) or any(last > 1 for _, last, _ in every),
        "zone": dt.datetime.now(zone_of(results.sealed)).tzname(),
    }
    return visit.show("again.html", values, status=status)


def book_attempt(visit: Visit, name: str, fields: Mapping[str, str], *, now: dt.datetime) -> Shown:
    """Draw further attempts, as `calclib again` does, and say for whom and until when.

    Args:
        visit: The request.
        name: The set.
        fields: What came back: state, only, due.
        now: The time that is recorded.

    Raises:
        BadInput: no such set was handed out.
    """
    cases = found_cases(visit, name)
    if fields.get("state") != _state(visit, cases):
        return again_page(visit.saying(said("desk.stale"), refused=True), name, status=409)
    zone, only = zone_of(cases.results.sealed), fields.get("only", "")
    try:
        due = _time(fields.get("due", ""), zone)
        students = (only,) if only else ()
        given = give_another_attempt(visit.folder, name, now=now, students=students, below_cut=not only, due=due)
    except CalclibError as refused:
        return again_page(visit.saying(str(refused), refused=True), name, status=400)
    first, *lines = again_lines(given, zone, named=bool(only), due=due is not None, commands={})
    return again_page(visit.saying(first, refused=not given.given), name, tuple(lines))


def parallel(visit: Visit, name: str) -> Shown:
    """Return how parallel the last further attempt is to the first.

    Raises:
        BadInput: no such set was handed out, or nobody has a further attempt.
    """
    found = parallel_values(visit.where, name)
    return visit.show("desk_parallel.html", {**found.values, "set_name": name})


def record_talk_page(visit: Visit, name: str, student: str, fields: Mapping[str, str], *, now: dt.datetime) -> Shown:
    """Record a talk or an appeal, as `calclib coached` and `calclib appeal` do, and go back to the student.

    Args:
        visit: The request.
        name: The set.
        student: The student's id.
        fields: What came back: do, by, note, agreed, seen.
        now: The time that is recorded.

    Raises:
        BadInput: no such set or student.
    """
    seen = fields.get("seen", "")
    try:
        record_talk(
            visit.folder,
            name,
            student,
            kind=asked_kind(fields),
            by=fields.get("by", ""),
            note=fields.get("note", ""),
            agreed=fields.get("agreed", ""),
            now=now,
            seen=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 9 else -1,
        )
    except TalkChangedError as changed:
        return student_page(visit.saying(str(changed), refused=True), name, student, status=409)
    except CalclibError as refused:
        return student_page(visit.saying(str(refused), refused=True), name, student, status=400)
    return Shown(go_to=visit.addresses.student(name, student) + "#talks")


def _state(visit: Visit, cases: Cases) -> str:
    """The state of the set, with what was handed out and written since."""
    with reading(visit.where) as connection:
        return f"{state_of(cases)}{last_line(connection)}"


def _time(text: str, zone: dt.tzinfo) -> dt.datetime | None:
    if not text.strip():
        return None
    try:
        time = dt.datetime.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(fact("errors_desk.time", text=visible(text))) from None
    return time if time.tzinfo else time.replace(tzinfo=zone)
