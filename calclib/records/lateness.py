"""Until when a student may hand in, and what being late costs."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

from calclib.class_files.roster import Student
from calclib.records.sealed import SealedSet


def due_of(sealed: SealedSet, student: Student) -> dt.datetime | None:
    """Return when a student's hand-in is due, the student's own extension counted; None if the set has no due time."""
    return None if sealed.due is None else sealed.due + dt.timedelta(minutes=student.accommodations.extra_minutes)


def days_late(due: dt.datetime, time: dt.datetime) -> int:
    """Return by how many days a hand-in is late, a day begun counted as a day; 0 if it came in time."""
    return max(-((due - time) // dt.timedelta(days=1)), 0) if time > due else 0


def late_share(sealed: SealedSet, student: Student, time: dt.datetime | None) -> Fraction:
    """Return the share of the score, 0 to 1, that a hand-in loses for being late."""
    due = due_of(sealed, student)
    if due is None or time is None:
        return Fraction(0)
    return min(Fraction(sealed.late_percent, 100) * days_late(due, time), Fraction(1))
