"""What being late costs: decided by hand for hand-ins around one due time."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.class_files.roster import Accommodations, Student
from calclib.records.lateness import days_late, due_of, late_share
from tests.records.sealed_set import SEALED

DUE = dt.datetime(2026, 12, 1, tzinfo=dt.UTC)
SECOND, HOUR = dt.timedelta(seconds=1), dt.timedelta(hours=1)
ANN = Student("ann", "Ann Ash")
BEN = Student("ben", "Ben Birch", accommodations=Accommodations(extra_minutes=1440))


@pytest.mark.parametrize(
    ("after", "days"),
    [
        (-HOUR, 0),
        (0 * HOUR, 0),
        (SECOND, 1),
        (24 * HOUR, 1),
        (24 * HOUR + SECOND, 2),
        (48 * HOUR, 2),
        (240 * HOUR + SECOND, 11),
    ],
)
def test_a_day_begun_counts_as_a_day(after: dt.timedelta, days: int) -> None:
    """What comes in at the due time is in time; a second later it is a day late, until that day has passed."""
    assert days_late(DUE, DUE + after) == days


@pytest.mark.parametrize(
    ("student", "hours", "share"),
    [(ANN, 0, "0"), (ANN, 1, "1/10"), (ANN, 25, "2/10"), (ANN, 24 * 30, "1"), (BEN, 24, "0"), (BEN, 25, "1/10")],
)
def test_each_day_costs_its_share_up_to_the_whole_score(student: Student, hours: int, share: str) -> None:
    """Ten percent a day, at most all of it; Ben has a day more than the others."""
    assert late_share(SEALED, student, DUE + hours * HOUR) == Fraction(share)


def test_without_a_due_time_or_a_time_nothing_is_late() -> None:
    """A set without a due time never costs anything, nor does a hand-in whose time nobody knows."""
    assert due_of(SEALED, ANN) == DUE and due_of(SEALED, BEN) == DUE + 24 * HOUR
    assert due_of(replace(SEALED, due=None), BEN) is None
    assert late_share(replace(SEALED, due=None), ANN, DUE + 100 * HOUR) == late_share(SEALED, ANN, None) == 0
