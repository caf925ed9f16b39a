"""The history of a set in words: what was marked, by which version of what. Lines are only ever added."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, func, insert, select

from calclib.quantity.writing import percent_text, points_text
from calclib.records.rulings.ruling import Ruling
from calclib.records.rulings.ruling_facts import ruled_on, ruling_fact
from calclib.records.sealed import sealed_set
from calclib.records.sealed_slots import Slot
from calclib.records.tables import HISTORY, PAPER
from calclib.wording.facts import Fact, fact, of_kind
from calclib.wording.sentences import sentence


class EventKind(StrEnum):
    """What was done; the values are what is recorded, and never change."""

    HANDED_OUT = "handed_out"
    BLUEPRINT_CHANGED = "blueprint_changed"
    RELEASED = "released"
    TAKEN_BACK = "taken_back"
    SIGNED_OFF = "signed_off"
    ANOTHER_ATTEMPT = "another_attempt"
    MARKED = "marked"
    JUDGED = "judged"
    RULED = "ruled"
    REKEYED = "rekeyed"
    PLANNED = "planned"
    COACHED = "coached"
    APPEALED = "appealed"
    APPEAL_SETTLED = "appeal_settled"
    STANDING_SIGNED = "standing_signed"
    IDENTITY_ERASED = "identity_erased"


@dataclass(frozen=True)
class HistoryLine:
    """One line about one student."""

    kind: EventKind
    pseudonym: str
    detail: Mapping[str, Any]


def write_history(
    connection: Connection,
    *,
    at: dt.datetime,
    kind: EventKind,
    set_name: str,
    pseudonym: str = "",
    detail: object = None,
) -> None:
    """Append one line to the history; nothing in it is ever changed."""
    connection.execute(
        insert(HISTORY).values(
            at=at.isoformat(timespec="seconds"),
            event=kind.value,
            set_name=set_name,
            pseudonym=pseudonym,
            detail=json.dumps(detail, ensure_ascii=False, sort_keys=True),
        )
    )


def write_lines(connection: Connection, set_name: str, lines: Sequence[HistoryLine], *, at: dt.datetime) -> None:
    """Append lines to the history; nothing in it is ever changed."""
    if lines:
        same = {"at": at.isoformat(timespec="seconds"), "set_name": set_name}
        rows = [
            {
                **same,
                "event": line.kind.value,
                "pseudonym": line.pseudonym,
                "detail": json.dumps(dict(line.detail), ensure_ascii=False, sort_keys=True),
            }
            for line in lines
        ]
        connection.execute(insert(HISTORY), rows)


def history_of(
    connection: Connection, set_name: str, pseudonym: str | None = None, *, zone: dt.tzinfo = dt.UTC
) -> tuple[str, ...]:
    """Return the history of a set, oldest first.

    Args:
        connection: The class's database.
        set_name: The set.
        pseudonym: The lines of this student and of the whole set alone; None for all.
        zone: The zone in which times are told.
    """
    wanted = select(HISTORY).where(HISTORY.c.set_name == set_name).order_by(HISTORY.c.id)
    if pseudonym is not None:
        wanted = wanted.where(HISTORY.c.pseudonym.in_(("", pseudonym)))
    sealed = sealed_set(connection, set_name)
    slots = sealed.slots if sealed else ()
    rows = connection.execute(wanted)
    return tuple(_line(row.at, row.event, row.pseudonym, json.loads(row.detail), zone, slots) for row in rows)


@dataclass(frozen=True)
class Event:
    """Something that was done in a set, or to one student's part of it.

    Attributes:
        at: When.
        kind: What.
        of_student: Whether it concerns one student alone.
        detail: What was recorded with it.
    """

    at: dt.datetime
    kind: EventKind
    of_student: bool
    detail: Mapping[str, Any]


def events_of(connection: Connection, set_name: str, pseudonym: str) -> tuple[Event, ...]:
    """Return what was done in a set as a whole and to one student's part of it, oldest first."""
    mine = HISTORY.c.pseudonym.in_(("", pseudonym))
    rows = connection.execute(select(HISTORY).where(HISTORY.c.set_name == set_name, mine).order_by(HISTORY.c.id))
    return tuple(
        Event(
            dt.datetime.fromisoformat(row.at), EventKind(row.event), bool(row.pseudonym), json.loads(row.detail) or {}
        )
        for row in rows
    )


def papers_made(connection: Connection, set_name: str, pseudonym: str) -> tuple[tuple[int, dt.datetime], ...]:
    """Return number and time of each attempt that was handed out to a student, in their order."""
    rows = connection.execute(
        select(PAPER.c.attempt, PAPER.c.made)
        .where(PAPER.c.set_name == set_name, PAPER.c.pseudonym == pseudonym)
        .order_by(PAPER.c.attempt)
    )
    return tuple((row.attempt, dt.datetime.fromisoformat(row.made)) for row in rows)


def last_line(connection: Connection) -> int:
    """Return the number of the last line of the history, 0 if there is none."""
    return connection.execute(select(func.max(HISTORY.c.id))).scalar() or 0


def day_of(connection: Connection, set_name: str, kind: EventKind) -> str:
    """Return the day on which an event was last recorded of a set, such as "2026-11-25"; "" if it never was."""
    wanted = select(HISTORY.c.at).where(HISTORY.c.set_name == set_name, HISTORY.c.event == kind.value)
    at = connection.execute(wanted.order_by(HISTORY.c.id.desc()).limit(1)).scalar()
    return at[:10] if at else ""


DETAILS = (
    "agreed",
    "aside",
    "attempt",
    "attempts",
    "basis",
    "by",
    "changed",
    "content",
    "counts",
    "cut_score",
    "due",
    "items",
    "keep",
    "late",
    "late_percent",
    "library",
    "library_of_set",
    "marked",
    "marking",
    "models",
    "new",
    "note",
    "points",
    "regraded",
    "requirement",
    "resubmitted",
    "rounding",
    "ruling",
    "rulings",
    "set_rules",
    "skills",
    "standing",
    "students",
    "submission",
    "unfair",
    "until",
)
"""What is recorded beside an event, but for a ruling; the names never change."""


def ruling_detail(ruling: Ruling) -> dict[str, Any]:
    """Return what is recorded of a ruling that was made; `ruling_told` reads it back."""
    return {
        "ruling": ruling.number,
        "kind": ruling.kind,
        "slot": ruling.slot,
        "part": ruling.part,
        "value": dict(ruling.value),
    }


def ruling_told(detail: Mapping[str, Any]) -> Ruling:
    """Return a ruling as the history holds it: without its reason, and without who made it."""
    of = (detail["kind"], detail["slot"], detail["part"], "", detail["value"])
    return Ruling(detail["ruling"], *of, reason="", by="", at="")


def event_words(kind: EventKind) -> str:
    """Return an event in words: "handed out"."""
    return sentence(of_kind("event", kind.value))


# Recorded as exact fractions, read as decimals.
_EXACT: Mapping[str, Callable[[Fraction], str]] = {
    "points": points_text,
    "cut_score": percent_text,
    "late": lambda share: percent_text(100 * share),
}


def _line(at: str, event: str, pseudonym: str, detail: object, zone: dt.tzinfo, slots: Sequence[Slot]) -> str:
    kind = EventKind(event)
    told = _told(kind, detail, slots) if isinstance(detail, dict) else ()
    # A note may have several lines; an event has one.
    words = " ".join(", ".join(map(sentence, told)).split())
    who = f" ({pseudonym})" if pseudonym else ""
    time = dt.datetime.fromisoformat(at).astimezone(zone)
    return f"{time:%Y-%m-%d %H:%M} {time.tzname()}  {event_words(kind)}{who}{': ' if words else ''}{words}"


def _told(kind: EventKind, detail: Mapping[str, Any], slots: Sequence[Slot]) -> Iterator[Fact]:
    if kind is EventKind.RULED:
        ruling = ruling_told(detail)
        yield fact("detail.ruled", number=ruling.number, where=ruled_on(ruling, slots), what=ruling_fact(ruling))
        return
    for key, value in sorted(detail.items()):
        if value in (None, "", {}) or value is False:
            continue
        if key == "late" and value == "0":
            continue
        if key in _EXACT and isinstance(value, str):
            yield of_kind("detail", key, value=_EXACT[key](Fraction(value)))
        elif isinstance(value, dict):
            yield of_kind("detail", key, value="; ".join(f"{k} {v}" for k, v in value.items()))
        else:
            # A hash is told apart by its first digits.
            yield of_kind("detail", key, value=value[:12] if isinstance(value, str) and len(value) == 64 else value)
