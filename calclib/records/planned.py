"""What is recorded of plans after an exam, and of attempts that still wait for a person."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from calclib.records.history import EventKind
from calclib.records.tables import HISTORY, MARK


def recorded_plans(connection: Connection, set_name: str) -> dict[tuple[str, int], Mapping[str, Any]]:
    """Return what was recorded last of each plan, by pseudonym and attempt: attempt, until, skills."""
    wanted = select(HISTORY.c.pseudonym, HISTORY.c.detail).where(
        HISTORY.c.set_name == set_name, HISTORY.c.event == EventKind.PLANNED.value
    )
    found = {}
    for row in connection.execute(wanted.order_by(HISTORY.c.id)):
        detail = json.loads(row.detail)
        found[row.pseudonym, detail["attempt"]] = detail
    return found


def latest_marked(connection: Connection, set_name: str) -> dict[str, int]:
    """Return the number of each student's last attempt that was marked, by pseudonym."""
    wanted = select(MARK.c.pseudonym, func.max(MARK.c.attempt).label("attempt")).where(MARK.c.set_name == set_name)
    return {row.pseudonym: row.attempt for row in connection.execute(wanted.group_by(MARK.c.pseudonym))}


def undecided_since(connection: Connection, set_name: str) -> frozenset[str]:
    """Return the pseudonyms of those whose last attempt waits for a person while an earlier one counts."""
    wanted = select(MARK.c.pseudonym, MARK.c.attempt).where(
        MARK.c.set_name == set_name, MARK.c.needs_person.is_(True), MARK.c.kept.is_(False)
    )
    latest = latest_marked(connection, set_name)
    rows = connection.execute(wanted.distinct())
    return frozenset(row.pseudonym for row in rows if latest[row.pseudonym] == row.attempt)
