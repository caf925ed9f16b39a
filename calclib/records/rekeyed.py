"""Items that a ruling has keyed anew: which ruling that is, and what it made of each item."""

from __future__ import annotations

import json
from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, Row, String, bindparam, select

from calclib.records.tables import REKEYED, RULING

Place = tuple[str, int, int]

# Built once: it is asked for every paper that is looked at.
_KEYINGS = (
    select(RULING.c.number, RULING.c.kind, RULING.c.value)
    .where(RULING.c.set_name == bindparam("of_set", type_=String), RULING.c.kind.in_(("rounding", "withdraw")))
    .order_by(RULING.c.number)
)


def keying_ruling(connection: Connection, set_name: str) -> int:
    """Return the number of the ruling by which the items of a set are keyed, 0 where they are as handed out."""
    rows = connection.execute(_KEYINGS, {"of_set": set_name}).all()
    gone = {int(json.loads(row.value)["number"]) for row in rows if row.kind == "withdraw"}
    return max((row.number for row in rows if row.kind == "rounding" and row.number not in gone), default=0)


def rekeyed_rows(connection: Connection, set_name: str, pseudonyms: Collection[str]) -> dict[Place, Row[Any]]:
    """Return the rows of items that are keyed anew, by pseudonym, attempt and slot; they have the columns of an item.

    The table isn't looked at where no ruling keys the set: an older gradebook doesn't have it.
    """
    ruling = keying_ruling(connection, set_name)
    if not ruling:
        return {}
    wanted = select(REKEYED).where(REKEYED.c.set_name == set_name, REKEYED.c.ruling == ruling)
    rows = connection.execute(wanted.where(REKEYED.c.pseudonym.in_(pseudonyms)))
    return {(row.pseudonym, row.attempt, row.slot): row for row in rows}


def keying_notes(connection: Connection, set_name: str) -> list[tuple[str, int, tuple[str, ...]]]:
    """Return what faculty should know of items that are keyed anew: pseudonym, slot and sentences, where there are any.

    Of several attempts the last that has any is named.
    """
    ruling = keying_ruling(connection, set_name)
    if not ruling:
        return []
    wanted = select(REKEYED.c.pseudonym, REKEYED.c.slot, REKEYED.c.notes)
    wanted = wanted.where(REKEYED.c.set_name == set_name, REKEYED.c.ruling == ruling, REKEYED.c.notes != "[]")
    rows = connection.execute(wanted.order_by(REKEYED.c.slot, REKEYED.c.pseudonym, REKEYED.c.attempt))
    found = {(row.pseudonym, row.slot): tuple(json.loads(row.notes)) for row in rows}
    return [(*place, notes) for place, notes in found.items()]
