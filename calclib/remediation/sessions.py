"""What is done on which day until the retest: short sessions, evenly spaced.

Spacing helps (Latimier 2021: spaced against massed retrieval g = 0.74), and even gaps do as well as growing ones
(g = 0.034, not significant); both stand in `sources.toml` as latimier_2021.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

SATURDAY = 5


class TaskKind(StrEnum):
    """What is done in a session."""

    LEARN = "learn"
    ALONE = "alone"
    CHECK = "check"


@dataclass(frozen=True)
class Task:
    """One thing to do.

    Attributes:
        kind: What is done.
        skill: Number of the skill in the plan, from 1; 0 for all.
    """

    kind: TaskKind
    skill: int = 0


@dataclass(frozen=True)
class Session:
    """One sitting.

    Attributes:
        number: Its place, from 1.
        day: On which day, None where no date of the retest is known.
        tasks: What is done.
    """

    number: int
    day: dt.date | None
    tasks: tuple[Task, ...]


def sessions(skills: int, *, start: dt.date, until: dt.date | None, weekends: bool = True) -> tuple[Session, ...]:
    """Return the sessions of a plan: the skills are learned one by one, practiced alone later, checked at the end.

    Args:
        skills: How many skills the plan has.
        start: The first day.
        until: The day of the retest, on which nothing is planned; None if it isn't known.
        weekends: Whether Saturdays and Sundays are used. Where no other day is left, the first day holds all.
    """
    tasks = [
        *(Task(TaskKind.LEARN, n) for n in range(1, skills + 1)),
        *(Task(TaskKind.ALONE, n) for n in range(1, skills + 1)),
        Task(TaskKind.CHECK),
    ]
    if until is None:
        return tuple(Session(n, None, (task,)) for n, task in enumerate(tasks, start=1))
    days = [day for day in _days(start, until) if weekends or day.weekday() < SATURDAY] or [start]
    count = min(len(tasks), len(days))
    return tuple(Session(n + 1, day, _share(tasks, n, count)) for n, day in enumerate(_spaced(days, count)))


def _days(start: dt.date, until: dt.date) -> Iterator[dt.date]:
    for n in range((until - start).days):
        yield start + dt.timedelta(days=n)


def _spaced(days: Sequence[dt.date], count: int) -> Iterator[dt.date]:
    """So many of the days, evenly spaced: the first and the last among them."""
    for n in range(count):
        yield days[n * (len(days) - 1) // (count - 1)] if count > 1 else days[0]


def _share(tasks: Sequence[Task], n: int, count: int) -> tuple[Task, ...]:
    return tuple(tasks[n * len(tasks) // count : (n + 1) * len(tasks) // count])
