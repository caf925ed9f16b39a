"""Times as faculty and students of a set read them: in the offset of its due time, with the zone said."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from calclib.class_files.toml_lines import read_toml
from calclib.gradebook.results import StudentResult
from calclib.records.lateness import days_late, due_of
from calclib.records.sealed import SealedSet

_SPANS = ((1440, "day"), (60, "hour"), (1, "minute"))


def zone_of(sealed: SealedSet) -> dt.tzinfo:
    """Return the offset in which the blueprint of a set writes its due time; UTC where it has none."""
    return _zone(sealed.blueprint, sealed.name) if sealed.due else dt.UTC


# Asked for every page of a class.
@lru_cache(maxsize=8)
def _zone(blueprint: str, name: str) -> dt.tzinfo:
    due = read_toml(blueprint, where=name).get("due")
    return due.tzinfo if isinstance(due, dt.datetime) and due.tzinfo is not None else dt.UTC


def time_in_words(time: dt.datetime, zone: dt.tzinfo) -> str:
    """Return a time with its zone: "1 December 2026, 23:59 (UTC-05:00)", "2 December 2026, 04:59 UTC"."""
    here = time.astimezone(zone)
    name = here.tzname() or ""
    return f"{here.day} {here:%B %Y, %H:%M} {name if name == 'UTC' else f'({name})'}"


def late_in_words(sealed: SealedSet, one: StudentResult, zone: dt.tzinfo) -> str:
    """Return when a hand-in was due and what was taken off by which rule; "" where it came in time.

    Args:
        sealed: The set.
        one: The student's result, with the time of the hand-in.
        zone: The zone in which times are told, see `zone_of`.
    """
    if sealed.due is None or one.time is None or one.time <= sealed.due:
        return ""
    minutes = one.student.accommodations.extra_minutes
    due = due_of(sealed, one.student)
    assert due is not None, "the set has a due time"
    words = f"It was due on {time_in_words(sealed.due, zone)}"
    if minutes:
        words += f", with the extension of {_long(minutes)} on {time_in_words(due, zone)}"
    days = days_late(due, one.time)
    if not days:
        return f"{words}, so it came in time."
    late = f"{words}, so it was late by {'less than a day' if days == 1 else f'{days} days, the last one begun'}."
    if not sealed.late_percent:
        return f"{late} The set takes nothing off for that."
    if sealed.late_percent == 100:
        return f"{late} By the rule of the set, a late hand-in gets no points."
    return f"{late} By the rule of the set, each day begun takes {sealed.late_percent}% off."


def _long(minutes: int) -> str:
    size, word = next((size, word) for size, word in _SPANS if minutes % size == 0)
    count = minutes // size
    return f"{count:,} {word}{'' if count == 1 else 's'}"
