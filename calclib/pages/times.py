"""What is said to a student of a hand-in that came late."""

from __future__ import annotations

import datetime as dt

from calclib.gradebook.results import StudentResult
from calclib.records.lateness import Due, days_late
from calclib.records.sealed import SealedSet
from calclib.records.set_times import time_in_words
from calclib.wording import Fact, fact, of_kind, said

_SPANS = ((1440, "days"), (60, "hours"), (1, "minutes"))


def late_in_words(sealed: SealedSet, one: StudentResult, zone: dt.tzinfo) -> str:
    """Return when a hand-in was due and what was taken off by which rule; "" where it came in time.

    Args:
        sealed: The set.
        one: The student's result, with the time of the hand-in.
        zone: The zone in which times are told, see `calclib.records.set_times.zone_of`.
    """
    due = one.due
    if due.time is None or one.time is None or one.time <= (due.of_all or due.time):
        return ""
    told, days = _due(due, due.time, zone), days_late(due.time, one.time)
    if not days:
        return said("late.in_time", due=told)
    late = fact("late.under_a_day", due=told) if days == 1 else fact("late.days", due=told, days=days)
    if not sealed.late_percent:
        return said("late.free", late=late)
    if sealed.late_percent == 100:
        return said("late.no_points", late=late)
    return said("late.costs", late=late, percent=sealed.late_percent)


def _due(due: Due, time: dt.datetime, zone: dt.tzinfo) -> Fact:
    if due.of_all is None:
        return fact("late.own_due", due=time_in_words(time, zone))
    of_all = time_in_words(due.of_all, zone)
    if not due.extra_minutes:
        return fact("late.due", due=of_all)
    extension = _extension(due.extra_minutes)
    return fact("late.due_extended", due=of_all, extension=extension, until=time_in_words(time, zone))


def _extension(minutes: int) -> Fact:
    size, unit = next((size, unit) for size, unit in _SPANS if minutes % size == 0)
    return of_kind("late", f"extension_{unit}", count=f"{minutes // size:,}")
