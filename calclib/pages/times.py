"""What is said to a student of a hand-in that came late."""

from __future__ import annotations

import datetime as dt

from calclib.gradebook.results import StudentResult
from calclib.records.lateness import days_late
from calclib.records.sealed import SealedSet
from calclib.records.set_times import time_in_words

_SPANS = ((1440, "day"), (60, "hour"), (1, "minute"))


def late_in_words(sealed: SealedSet, one: StudentResult, zone: dt.tzinfo) -> str:
    """Return when a hand-in was due and what was taken off by which rule; "" where it came in time.

    Args:
        sealed: The set.
        one: The student's result, with the time of the hand-in.
        zone: The zone in which times are told, see `calclib.records.set_times.zone_of`.
    """
    due = one.due
    if due.time is None or one.time is None:
        return ""
    if due.of_all is None:
        words = f"Your own due time was {time_in_words(due.time, zone)}"
    else:
        words = f"It was due on {time_in_words(due.of_all, zone)}"
        if due.extra_minutes:
            words += f", with the extension of {_long(due.extra_minutes)} on {time_in_words(due.time, zone)}"
    if one.time <= (due.of_all or due.time):
        return ""
    days = days_late(due.time, one.time)
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
