"""What was done to one student's part of a set, in words that the student can follow."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

from calclib.gradebook import StudentResult
from calclib.quantity.writing import points_text
from calclib.records import SealedItem, SealedSet, Slot, ruled_on, ruling_fact
from calclib.records.history import Event, EventKind, ruling_told
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import Fact, fact, of_kind, said

_HASH_SHOWN = 12
CHANGED_RULES = ("due", "late_percent", "keep", "cut_score", "attempts", "set_rules")
"""What another blueprint can change of a set that was handed out, as the history records it."""


def own_history(sealed: SealedSet, made: Sequence[tuple[int, dt.datetime]], events: Sequence[Event]) -> tuple[str, ...]:
    """Return what was done in a set as far as it concerns one student, a sentence each, oldest first.

    Args:
        sealed: The set.
        made: Number and time of each attempt that was handed out, see `calclib.records.history.papers_made`.
        events: What was done, see `calclib.records.history.events_of`.
    """
    several, zone = len(made) > 1, zone_of(sealed)
    # What gave a further attempt tells of it with its due time.
    given = {one.detail["attempt"] for one in events if one.kind is EventKind.ANOTHER_ATTEMPT and one.of_student}
    told: list[tuple[dt.datetime, Fact]] = [
        (at, fact("own_history.attempt_handed_out", number=n) if several else fact("own_history.handed_out"))
        for n, at in made
        if n not in given
    ]
    for event in events:
        what = _told(event, several, zone, sealed.slots)
        if what is not None:
            told.append((event.at, what))
    return tuple(
        said("own_history.at", time=time_in_words(at, zone), what=what)
        for at, what in sorted(told, key=lambda one: one[0])
    )


def _told(event: Event, several: bool, zone: dt.tzinfo, slots: Sequence[Slot]) -> Fact | None:
    """A sentence; None for what was done to the class, and is told by its effect on the student."""
    detail = event.detail
    if event.kind is EventKind.JUDGED:
        return _judged(detail, several)
    if event.kind is EventKind.RULED:
        ruling = ruling_told(detail)
        where, what = ruled_on(ruling, slots), ruling_fact(ruling)
        return fact("own_history.ruling", number=ruling.number, where=where, what=what)
    if event.kind is EventKind.ANOTHER_ATTEMPT and event.of_student:
        if not detail.get("due"):
            return fact("own_history.attempt_without_due", number=detail["attempt"])
        due = time_in_words(dt.datetime.fromisoformat(detail["due"]), zone)
        return fact("own_history.attempt_due", number=detail["attempt"], due=due)
    if event.kind is EventKind.REKEYED:
        return fact("own_history.rekeyed", number=detail["ruling"])
    if event.kind is EventKind.BLUEPRINT_CHANGED:
        rules = tuple(of_kind("own_history", f"rule_{name}") for name in sorted(detail) if name in CHANGED_RULES)
        return fact("own_history.rules_changed", rules=rules)
    return fact("own_history.event", event=of_kind("event", event.kind.value)) if event.of_student else None


def _judged(detail: Mapping[str, Any], several: bool) -> Fact:
    what = fact("own_history.attempt", number=detail["attempt"]) if several else fact("own_history.notebook")
    if detail.get("aside"):
        return fact("own_history.set_aside", what=what)
    earned, lost = Fraction(detail["points"]), Fraction(detail.get("late", "0"))
    points, late = points_text(earned), points_text(earned * lost)
    if detail.get("counts", True):
        if not lost:
            return fact("own_history.marked", what=what, points=points)
        return fact("own_history.marked_late", what=what, points=points, late=late)
    if not lost:
        return fact("own_history.marked_other_counts", what=what, points=points)
    return fact("own_history.marked_late_other_counts", what=what, points=points, late=late)


def for_the_record(
    sealed: SealedSet, one: StudentResult, items: Sequence[SealedItem], events: Sequence[Event]
) -> Iterator[str]:
    """Yield what proves by which versions a student's answers were marked: for whoever has the class's database.

    Args:
        sealed: The set as it counts now.
        one: The student's result.
        items: The items that are explained.
        events: What was done, see `calclib.records.history.events_of`.
    """
    models: dict[tuple[str, int, str], list[str]] = {}
    for item in items:
        models.setdefault((item.model_id, item.model_version, item.model_hash), []).append(str(item.slot))
    told = tuple(
        fact("own_history.model", problems=tuple(slots), name=name, version=version, hash=_short(hash_))
        for (name, version, hash_), slots in models.items()
    )
    rounding = fact("own_history.hashed", name=sealed.rounding, hash=_short(sealed.rounding_hash))
    marking = fact("own_history.hashed", name=sealed.marking, hash=_short(sealed.marking_hash))
    basis = [event.detail["basis"] for event in events if event.kind is EventKind.JUDGED and event.detail.get("basis")]
    whose: str | Fact = one.pseudonym
    if basis:
        whose = fact("own_history.by_basis", pseudonym=one.pseudonym, basis=basis[-1])
    notebook = _short(one.submission)
    yield said(
        "own_history.for_the_record", models=told, rounding=rounding, marking=marking, notebook=notebook, whose=whose
    )


def _short(hash_: str) -> str | Fact:
    return hash_[:_HASH_SHOWN] or fact("own_history.no_hash")
