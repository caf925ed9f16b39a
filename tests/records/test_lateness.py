"""What being late costs: decided by hand for hand-ins around one due time."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.class_files.roster import Accommodations, Student
from calclib.records.lateness import DueKind, days_late, due_of, late_share
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
    assert late_share(SEALED, due_of(SEALED, student, 1, None, None), DUE + hours * HOUR) == Fraction(share)


def test_without_a_due_time_or_a_time_nothing_is_late() -> None:
    """A set without a due time never costs anything, nor does a hand-in whose time nobody knows."""
    mine, bens = (due_of(SEALED, student, 1, None, None) for student in (ANN, BEN))
    none = due_of(replace(SEALED, due=None), BEN, 1, None, None)
    assert (mine.time, bens.time, none.time) == (DUE, DUE + 24 * HOUR, None)
    assert late_share(SEALED, none, DUE + 100 * HOUR) == late_share(SEALED, mine, None) == 0


@pytest.mark.parametrize(
    ("handed_out", "made", "kind"),
    [
        (-48 * HOUR, -48 * HOUR, DueKind.OF_SET),
        (-48 * HOUR, HOUR, DueKind.MADE_LATER),
        (HOUR, HOUR, DueKind.OF_SET),
    ],
)
def test_who_joins_after_the_due_time_is_not_late_by_it(
    handed_out: dt.timedelta, made: dt.timedelta, kind: str
) -> None:
    """Unless the whole class got its set that late: then faculty meant the time as it stands."""
    sealed = replace(SEALED, handed_out=(DUE + handed_out).isoformat())
    found = due_of(sealed, ANN, 1, DUE + made, None)
    assert found.kind == kind
    assert (late_share(sealed, found, DUE + 25 * HOUR) == 0) == (kind == DueKind.MADE_LATER)


def test_a_further_attempt_is_due_by_its_own_time_alone() -> None:
    """Without one it can't be late; the student's extension holds for it too."""
    assert due_of(SEALED, ANN, 2, DUE + HOUR, None).kind is DueKind.NONE
    assert due_of(SEALED, BEN, 2, DUE + HOUR, DUE + 48 * HOUR).time == DUE + 72 * HOUR
