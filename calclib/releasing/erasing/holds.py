"""Why a student's records may not be erased yet: an open appeal, or the time for which the school keeps records."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, select

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.set_rules import recorded_rules
from calclib.class_files.standing_rules import standing_rules
from calclib.records.coaching import open_appeals, talks
from calclib.records.people import pseudonym_of
from calclib.records.tables import PAPER, SET
from calclib.wording.facts import Fact, fact


@dataclass(frozen=True)
class Despite:
    """Who erases despite a hold, and why: both are recorded."""

    by: str
    reason: str


def holds(connection: Connection, where: ClassFolder, student: str, now: dt.datetime) -> tuple[Fact, ...]:
    """Return what holds an erasure back, none if nothing does.

    Args:
        connection: The class's database.
        where: The class folder.
        student: The student's id.
        now: The time of the erasure.
    """
    pseudonym = pseudonym_of(connection, student)
    return tuple(_holds(connection, where, pseudonym, now)) if pseudonym else ()


def _holds(connection: Connection, where: ClassFolder, pseudonym: str, now: dt.datetime) -> Iterator[Fact]:
    for name in open_appeals(talks(connection).get(pseudonym, ())):
        yield fact("standing_rule.appeal_open", set_name=name)
    wanted = select(SET.c.name, SET.c.blueprint, SET.c.handed_out).join(PAPER, PAPER.c.set_name == SET.c.name)
    sets = connection.execute(wanted.where(PAPER.c.pseudonym == pseudonym).distinct().order_by(SET.c.handed_out)).all()
    for row in sets:
        appeal = recorded_rules(row.blueprint).appeal
        until = appeal.by if appeal else None
        if isinstance(until, dt.datetime) and until > now:
            yield fact("standing_rule.appeal_until", set_name=row.name, day=f"{until:%Y-%m-%d}")
    years = standing_rules(where).keep_years
    if years and sets:
        last = dt.datetime.fromisoformat(sets[-1].handed_out)
        kept = _years_later(last.date(), years)
        if now.date() < kept:
            yield fact("standing_rule.kept_until", set_name=sets[-1].name, years=years, day=kept.isoformat())


def _years_later(day: dt.date, years: int) -> dt.date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # February 29
        return day.replace(year=day.year + years, month=3, day=1)
