"""Until when a student may hand an attempt in, and what being late costs."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from sqlalchemy import Connection, select

from calclib.class_files.roster import Student
from calclib.records.history import EventKind
from calclib.records.sealed import SealedSet
from calclib.records.tables import HISTORY, PAPER


class DueKind(StrEnum):
    """Where the due time of an attempt comes from, or why it has none."""

    NONE = "none"
    OF_SET = "of set"
    OF_ATTEMPT = "of attempt"
    OWN = "own"
    MADE_LATER = "made later"


@dataclass(frozen=True)
class Due:
    """By when one student's attempt is due.

    Attributes:
        kind: Where the time comes from.
        of_all: The time for everyone; None if there is none, or if the student has one of their own.
        time: The time for the student; None if none is applied.
        extra_minutes: By how much it is later than for everyone.
    """

    kind: DueKind
    of_all: dt.datetime | None = None
    time: dt.datetime | None = None
    extra_minutes: int = 0


# By pseudonym and number of the attempt.
AttemptDues = Mapping[tuple[str, int], dt.datetime | None]


def attempt_dues(connection: Connection, set_name: str) -> AttemptDues:
    """Return by when attempts after the first are due, as was said when each was given; None for no due time.

    Those of which nothing was recorded were given by a version that applied the set's due time to them.
    """
    wanted = select(HISTORY.c.pseudonym, HISTORY.c.detail).where(
        HISTORY.c.set_name == set_name,
        HISTORY.c.event == EventKind.ANOTHER_ATTEMPT.value,
        HISTORY.c.pseudonym != "",
    )
    found: dict[tuple[str, int], dt.datetime | None] = {}
    for row in connection.execute(wanted.order_by(HISTORY.c.id)):
        detail = json.loads(row.detail)
        due = dt.datetime.fromisoformat(detail["due"]) if detail.get("due") else None
        found[row.pseudonym, detail["attempt"]] = due
    return found


def made_times(connection: Connection, set_name: str) -> dict[tuple[str, int], dt.datetime]:
    """Return when each paper of a set was made, by pseudonym and attempt."""
    rows = connection.execute(
        select(PAPER.c.pseudonym, PAPER.c.attempt, PAPER.c.made).where(PAPER.c.set_name == set_name)
    )
    return {(row.pseudonym, row.attempt): dt.datetime.fromisoformat(row.made) for row in rows}


def recorded_lates(connection: Connection, set_name: str) -> dict[tuple[str, int], Fraction]:
    """Return the share that each attempt lost for being late when it was last marked, by pseudonym and attempt.

    One that was marked before such shares were recorded is left out.
    """
    wanted = select(HISTORY.c.pseudonym, HISTORY.c.detail).where(
        HISTORY.c.set_name == set_name, HISTORY.c.event == EventKind.JUDGED.value
    )
    found = {}
    for row in connection.execute(wanted.order_by(HISTORY.c.id)):
        detail = json.loads(row.detail)
        if "late" in detail:
            found[row.pseudonym, detail["attempt"]] = Fraction(detail["late"])
    return found


def due_of(
    sealed: SealedSet, student: Student, attempt: int, made: dt.datetime | None, of_attempt: dt.datetime | None
) -> Due:
    """Return by when an attempt is due for one student.

    The student's own time goes over every other. The set's time is that of the first attempt alone, and not for a
    student who joins later, after it: who does has a time of their own, or none.

    Args:
        sealed: The set.
        student: The student, with what the roster allows.
        attempt: Number of the attempt.
        made: When the student's notebook of it was made, None if that isn't known.
        of_attempt: The time that was said when an attempt after the first was given.
    """
    allowed = student.accommodations.in_set(sealed.name, attempt)
    if allowed.due is not None:
        return Due(DueKind.OWN, None, allowed.due)
    base = sealed.due if attempt == 1 else of_attempt
    if base is None:
        return Due(DueKind.NONE)
    if made is not None and made > base and _handed_out_before(sealed, base):
        return Due(DueKind.MADE_LATER, base)
    kind = DueKind.OF_SET if attempt == 1 else DueKind.OF_ATTEMPT
    return Due(kind, base, base + dt.timedelta(minutes=allowed.extra_minutes), allowed.extra_minutes)


def _handed_out_before(sealed: SealedSet, time: dt.datetime) -> bool:
    """Whether the class had its set before a time, so that whose notebook was made later joined late."""
    return bool(sealed.handed_out) and dt.datetime.fromisoformat(sealed.handed_out) <= time


def due_times(sealed: SealedSet, students: Iterable[Student], dues: AttemptDues) -> frozenset[dt.datetime]:
    """Return every time by which something of a set is due for anybody, without anybody's extra minutes.

    Args:
        sealed: The set.
        students: The class, with what the roster allows.
        dues: By when attempts after the first are due.
    """
    own = (
        value
        for student in students
        for one in student.accommodations.of_sets
        if one.set_name == sealed.name
        for name, value in one.values
        if name == "due"
    )
    return frozenset(time for time in (sealed.due, *dues.values(), *own) if isinstance(time, dt.datetime))


def days_late(due: dt.datetime, time: dt.datetime) -> int:
    """Return by how many days a hand-in is late, a day begun counted as a day; 0 if it came in time."""
    return max(-((due - time) // dt.timedelta(days=1)), 0) if time > due else 0


def late_share(sealed: SealedSet, due: Due, time: dt.datetime | None) -> Fraction:
    """Return the share of the score, 0 to 1, that a hand-in loses for being late."""
    if due.time is None or time is None:
        return Fraction(0)
    return min(Fraction(sealed.late_percent, 100) * days_late(due.time, time), Fraction(1))
