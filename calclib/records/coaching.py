"""Who coached whom, what was agreed, open appeals, who signed a standing: lines of the history that hold words."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select, update

from calclib.records.history import EventKind
from calclib.records.tables import HISTORY
from calclib.wording.facts import ERASED_TEXT

TALKS = (EventKind.COACHED, EventKind.APPEALED, EventKind.APPEAL_SETTLED)
"""Events in whose detail a person writes about a student: "by", "note" and "agreed"."""

WORDED = (*TALKS, EventKind.STANDING_SIGNED)
"""Events in whose detail a person wrote anything: the words go with the student."""


@dataclass(frozen=True)
class Talk:
    """One line about a student that a person wrote.

    Attributes:
        at: When it was recorded.
        kind: What it is.
        set_name: The set that it is about.
        by: Who wrote it.
        note: What was talked over.
        agreed: What was agreed, "" for nothing.
    """

    at: dt.datetime
    kind: EventKind
    set_name: str
    by: str
    note: str
    agreed: str


def talks(connection: Connection) -> dict[str, tuple[Talk, ...]]:
    """Return what was written about each student, by pseudonym, oldest first."""
    wanted = select(HISTORY).where(HISTORY.c.event.in_([kind.value for kind in TALKS])).order_by(HISTORY.c.id)
    found: dict[str, list[Talk]] = {}
    for row in connection.execute(wanted):
        detail = json.loads(row.detail)
        words = (detail.get("by", ""), detail.get("note", ""), detail.get("agreed", ""))
        at = dt.datetime.fromisoformat(row.at)
        found.setdefault(row.pseudonym, []).append(Talk(at, EventKind(row.event), row.set_name, *words))
    return {pseudonym: tuple(lines) for pseudonym, lines in found.items()}


def open_appeals(lines: tuple[Talk, ...]) -> tuple[str, ...]:
    """Return the sets in which a student's appeal is open."""
    last = {one.set_name: one.kind for one in lines if one.kind is not EventKind.COACHED}
    return tuple(name for name, kind in last.items() if kind is EventKind.APPEALED)


def coached_since(lines: Iterable[Talk], set_name: str, since: dt.datetime | None) -> bool:
    """Return whether a student was coached in a set since a time; since any time if that is None.

    Args:
        lines: What was written about the student.
        set_name: The set.
        since: When the attempt was marked that wasn't passed.
    """
    coached = (one for one in lines if one.kind is EventKind.COACHED and one.set_name == set_name)
    # Lines of the history are kept to the second.
    return any(since is None or one.at >= since.replace(microsecond=0) for one in coached)


@dataclass(frozen=True)
class Signature:
    """That a named person read where a student stands, and signed it.

    Attributes:
        at: When it was recorded.
        by: Who signed.
        standing: What stands for what was signed.
    """

    at: dt.datetime
    by: str
    standing: str


def signatures(connection: Connection) -> dict[str, Signature]:
    """Return who signed last where each student stands, by pseudonym."""
    wanted = select(HISTORY).where(HISTORY.c.event == EventKind.STANDING_SIGNED.value).order_by(HISTORY.c.id)
    found = {}
    for row in connection.execute(wanted):
        detail = json.loads(row.detail)
        found[row.pseudonym] = Signature(dt.datetime.fromisoformat(row.at), detail["by"], detail["standing"])
    return found


def forget_words(connection: Connection, pseudonym: str) -> None:
    """Take the words about a student out; that there was a talk, and when, stays."""
    mine = (HISTORY.c.pseudonym == pseudonym, HISTORY.c.event.in_([kind.value for kind in WORDED]))
    for row in connection.execute(select(HISTORY.c.id, HISTORY.c.detail).where(*mine)).all():
        detail = {key: ERASED_TEXT if value else "" for key, value in json.loads(row.detail).items()}
        written = json.dumps(detail, ensure_ascii=False, sort_keys=True)
        connection.execute(update(HISTORY).where(HISTORY.c.id == row.id).values(detail=written))
