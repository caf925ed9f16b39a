"""When each attempt was marked for the first time."""

from __future__ import annotations

import datetime as dt
import json

from sqlalchemy import Connection, select

from calclib.records.history import EventKind
from calclib.records.tables import HISTORY


def first_marked(connection: Connection, set_name: str) -> dict[tuple[str, int], dt.datetime]:
    """Return when each attempt was marked for the first time, by pseudonym and attempt."""
    wanted = select(HISTORY.c.at, HISTORY.c.pseudonym, HISTORY.c.detail).where(
        HISTORY.c.set_name == set_name, HISTORY.c.event == EventKind.JUDGED.value
    )
    found: dict[tuple[str, int], dt.datetime] = {}
    for row in connection.execute(wanted.order_by(HISTORY.c.id)):
        key = row.pseudonym, json.loads(row.detail).get("attempt", 1)
        found.setdefault(key, dt.datetime.fromisoformat(row.at))
    return found
