"""Days of a plan, counted by hand on a calendar."""

from __future__ import annotations

import datetime as dt

from calclib.remediation.sessions import Session, Task, TaskKind, sessions

MONDAY = dt.date(2026, 11, 30)
LEARN, ALONE, CHECK = TaskKind.LEARN, TaskKind.ALONE, TaskKind.CHECK


def told(found: tuple[Session, ...]) -> list[tuple[str, list[tuple[str, int]]]]:
    """The day and the tasks of each session."""
    return [
        (f"{one.day:%m-%d}" if one.day else str(one.number), [(task.kind.value, task.skill) for task in one.tasks])
        for one in found
    ]


def test_days_are_evenly_spaced_and_the_last_is_before_the_retest() -> None:
    """Nine working days lie before Friday, December 11: every second of them is used; weekends only where they may."""
    until = dt.date(2026, 12, 11)
    assert told(sessions(2, start=MONDAY, until=until, weekends=False)) == [
        ("11-30", [("learn", 1)]),
        ("12-02", [("learn", 2)]),
        ("12-04", [("alone", 1)]),
        ("12-08", [("alone", 2)]),
        ("12-10", [("check", 0)]),
    ]
    saturday = [one.day for one in sessions(2, start=MONDAY, until=until) if one.day and one.day.weekday() > 4]
    assert saturday == [dt.date(2026, 12, 5)]


def test_few_days_hold_more_and_no_day_holds_all() -> None:
    """Three days take five tasks in their order; over a weekend that isn't used the first day holds all."""
    assert told(sessions(2, start=MONDAY, until=dt.date(2026, 12, 3))) == [
        ("11-30", [("learn", 1)]),
        ("12-01", [("learn", 2), ("alone", 1)]),
        ("12-02", [("alone", 2), ("check", 0)]),
    ]
    saturday = dt.date(2026, 12, 5)
    (only,) = sessions(1, start=saturday, until=dt.date(2026, 12, 7), weekends=False)
    assert (only.day, only.tasks) == (saturday, (Task(LEARN, 1), Task(ALONE, 1), Task(CHECK)))


def test_without_a_date_sessions_are_counted() -> None:
    """One task a session, each skill practiced alone after all were learned."""
    assert told(sessions(3, start=MONDAY, until=None)) == [
        ("1", [("learn", 1)]),
        ("2", [("learn", 2)]),
        ("3", [("learn", 3)]),
        ("4", [("alone", 1)]),
        ("5", [("alone", 2)]),
        ("6", [("alone", 3)]),
        ("7", [("check", 0)]),
    ]
