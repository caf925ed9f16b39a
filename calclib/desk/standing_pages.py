"""Where the students of a class stand, with the rule that decided, and who read and signed it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from calclib.class_files.standing_rules import standing_rules
from calclib.desk.visit import Shown, Visit
from calclib.errors import CalclibError
from calclib.pages.after_exam.standing_page import standing_values
from calclib.remediation.signing import StandingChangedError, sign_of_standing, sign_standing, standing_of_class
from calclib.wording import said


def standing_page(visit: Visit, *, now: dt.datetime, by: str = "", status: int = 200) -> Shown:
    """Return where each student of the class stands, and the form in which a named person signs.

    Args:
        visit: The request.
        now: The day of which it tells.
        by: Who signs, as it was typed.
        status: The HTTP status.

    Raises:
        BadInput: the class's `standing.toml` is wrong.
    """
    where = visit.where
    rules = standing_rules(where)
    students = standing_of_class(where, rules)
    values = standing_values(where.course, students, rules, now)
    for row, one in zip(values["students"], students, strict=True):
        for each in row["sets"]:
            each["link"] = visit.addresses.student(each["set_name"], one.student.id)
    state = sign_of_standing(students)
    return visit.show("desk_standing.html", {**values, "state": state, "by": by}, status=status)


def sign_page(visit: Visit, fields: Mapping[str, str], *, now: dt.datetime) -> Shown:
    """Record that a named person read the page, as `calclib standing --sign` does, and show it signed.

    Args:
        visit: The request.
        fields: What came back: state, by, only.
        now: The time that is recorded.
    """
    by, only = fields.get("by", ""), fields.get("only", "")
    try:
        signed = sign_standing(
            visit.folder, by=by, now=now, students=(only,) if only else (), seen=fields.get("state", "") or "none"
        )
    except StandingChangedError as changed:
        return standing_page(visit.saying(str(changed), refused=True), now=now, by=by, status=409)
    except CalclibError as refused:
        return standing_page(visit.saying(str(refused), refused=True), now=now, by=by, status=400)
    told = said("after_exam.standing_signed", count=len(signed), by=" ".join(by.split()))
    return standing_page(visit.saying(told), now=now)
