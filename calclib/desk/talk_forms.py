"""Talks at the desk: who coached a student and what was agreed, an appeal received or settled."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calclib.desk.visit import Visit
from calclib.errors import BadInput
from calclib.gradebook import SetResults, StudentResult
from calclib.pages.after_exam.standing_page import talk_told
from calclib.records import reading
from calclib.records.coaching import open_appeals, talks
from calclib.records.history import EventKind
from calclib.records.set_times import zone_of
from calclib.wording import fact

KINDS = {kind.value: kind for kind in (EventKind.COACHED, EventKind.APPEALED, EventKind.APPEAL_SETTLED)}


def talk_values(visit: Visit, results: SetResults, one: StudentResult) -> dict[str, Any]:
    """Return what was written about a student in a set, and what the form that adds a line brings back.

    Args:
        visit: The request.
        results: The results of the set.
        one: The student's.
    """
    name, zone = results.sealed.name, zone_of(results.sealed)
    with reading(visit.where) as connection:
        written = talks(connection).get(one.pseudonym, ())
    return {
        "talks": [talk_told(talk, zone) for talk in written if talk.set_name == name],
        "appeal_open": name in open_appeals(written),
        "written": len(written),
        "talk_address": visit.addresses.student(name, one.student.id, "talks"),
    }


def asked_kind(fields: Mapping[str, str]) -> EventKind:
    """Return what a form asks to be recorded.

    Raises:
        BadInput: it asks for nothing that the form offers.
    """
    kind = KINDS.get(fields.get("do", ""))
    if kind is None:
        raise BadInput(fact("errors_desk.choose_talk"))
    return kind
