"""Items that rulings have re-keyed: what they made of each item."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, and_, select

from calclib.records.rulings.ruling import keyed_since, keying_rulings_of
from calclib.records.tables import ITEM, REKEYED
from calclib.wording.facts import Fact, fact_from_record

Place = tuple[str, int, int]


@dataclass(frozen=True)
class KeyChange:
    """How many students' answers to one question are another by now than as it was handed out, and one of them.

    Attributes:
        slot: The problem.
        part: What the part of it asks, as a noun phrase; "" for the only one.
        students: How many of them have another right answer.
        of: How many have the question; of several attempts the last counts.
        pseudonym: One who has another, "" if nobody has.
        before: That student's right answer as it was handed out.
        after: The same by now.
    """

    slot: int
    part: str
    students: int
    of: int
    pseudonym: str
    before: str
    after: str


def rekeyed_rows(connection: Connection, set_name: str, pseudonyms: Collection[str]) -> dict[Place, Row[Any]]:
    """Return the rows of items that are re-keyed, by pseudonym, attempt and slot; they have the columns of an item.

    Not all items of a paper need have one. The table isn't looked at where no ruling keys the set: an older gradebook
    doesn't have it.
    """
    ruling = keyed_since(keying_rulings_of(connection, set_name))
    if not ruling:
        return {}
    wanted = select(REKEYED).where(REKEYED.c.set_name == set_name, REKEYED.c.ruling == ruling)
    rows = connection.execute(wanted.where(REKEYED.c.pseudonym.in_(pseudonyms)))
    return {(row.pseudonym, row.attempt, row.slot): row for row in rows}


def rekey_notes(connection: Connection, set_name: str) -> list[tuple[str, int, tuple[Fact, ...]]]:
    """Return what faculty should know of items that are re-keyed: pseudonym, slot and facts, where there are any.

    Of several attempts the last that has any is named.
    """
    ruling = keyed_since(keying_rulings_of(connection, set_name))
    if not ruling:
        return []
    wanted = select(REKEYED.c.pseudonym, REKEYED.c.slot, REKEYED.c.notes)
    wanted = wanted.where(REKEYED.c.set_name == set_name, REKEYED.c.ruling == ruling, REKEYED.c.notes != "[]")
    rows = connection.execute(wanted.order_by(REKEYED.c.slot, REKEYED.c.pseudonym, REKEYED.c.attempt))
    found = {(row.pseudonym, row.slot): tuple(map(fact_from_record, json.loads(row.notes))) for row in rows}
    return [(*place, notes) for place, notes in found.items()]


def key_changes(connection: Connection, set_name: str) -> tuple[KeyChange, ...]:
    """Return what became of the right answers of items that are re-keyed, a line a question, in the set's order."""
    since = keyed_since(keying_rulings_of(connection, set_name))
    if not since:
        return ()
    same = (getattr(ITEM.c, name) == getattr(REKEYED.c, name) for name in ("set_name", "pseudonym", "attempt", "slot"))
    wanted = select(ITEM.c.pseudonym, ITEM.c.slot, ITEM.c.record.label("before"), REKEYED.c.record.label("after"))
    wanted = wanted.join(REKEYED, and_(*same)).where(ITEM.c.set_name == set_name, REKEYED.c.ruling == since)
    answers: dict[tuple[int, str], dict[str, tuple[str, str]]] = {}
    for row in connection.execute(wanted.order_by(ITEM.c.slot, ITEM.c.pseudonym, ITEM.c.attempt)):
        parts = [json.loads(record)["parts"] for record in (row.before, row.after)]
        for before, after in zip(*parts, strict=True):
            words = before.get("says") or before["name"].replace("_", " ")
            question = (row.slot, words if len(parts[0]) > 1 else "")
            answers.setdefault(question, {})[row.pseudonym] = (before["answer"], after["answer"])
    return tuple(_key_change(question, found) for question, found in answers.items())


def _key_change(question: tuple[int, str], answers: Mapping[str, tuple[str, str]]) -> KeyChange:
    others = [(name, *two) for name, two in answers.items() if two[0] != two[1]]
    return KeyChange(*question, len(others), len(answers), *(others[0] if others else ("", "", "")))
