"""Sealed sets: what was handed out, recorded so that marking never draws again."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from typing import Any, NamedTuple

import orjson
from sqlalchemy import Connection, Integer, Row, Select, String, Table, bindparam, insert, select

from calclib.records.had_instead import had_instead
from calclib.records.rulings.rekeyed_items import rekeyed_rows
from calclib.records.sealed_slots import Replacement, Slot
from calclib.records.tables import ITEM, PAPER, REKEYED, SET
from calclib.wording.facts import Fact, fact_from_record


@dataclass(frozen=True)
class SealedSet:
    """A set as it was handed out."""

    name: str
    title: str
    blueprint: str
    rounding: str
    rounding_hash: str
    marking: str
    marking_hash: str
    cut_score: Fraction
    due: dt.datetime | None
    late_percent: int
    attempts: int
    slots: tuple[Slot, ...]
    library: str
    handed_out: str
    keep: str = "best"

    @cached_property
    def points(self) -> Fraction:
        """All points of the set."""
        return sum((p for slot in self.slots for p in slot.points.values()), Fraction(0))


class SealedItem(NamedTuple):
    """One student's item, with the record from which it is marked.

    `keyed_since` is the number of the ruling since which it is keyed as it is, 0 where it is as it was handed out;
    `notes` are facts of `rekeyed.toml`, what faculty should know of that. `handed_out` is the hash of the item model
    from which it was drawn, where it is keyed by another.
    """

    slot: int
    model_id: str
    model_version: int
    model_hash: str
    numbers: str
    record: Mapping[str, Any]
    keyed_since: int = 0
    notes: tuple[Fact, ...] = ()
    handed_out: str = ""

    @property
    def drawn_by(self) -> str:
        """The hash of the item model from which it was drawn."""
        return self.handed_out or self.model_hash

    def worked(self, part: str) -> tuple[Fact, ...]:
        """Return the lines of the worked solution of a part, none where they were not read."""
        return tuple(map(fact_from_record, self.record["worked"].get(part, ())))


@dataclass(frozen=True)
class SealedPaper:
    """One student's set.

    Attributes:
        tag: The keyed tag in the notebook's metadata.
        numbers: Hash of all the numbers; no two students of a class share it.
        checksums: nbgrader's checksum of each rendered cell, by its grade id.
        library: The version of calclib that drew it.
    """

    set_name: str
    pseudonym: str
    attempt: int
    tag: str
    numbers: str
    checksums: Mapping[str, str]
    items: tuple[SealedItem, ...]
    made: str
    library: str


def numbers_hash(texts: Iterable[str]) -> str:
    """Return a hash of the given texts; two draws with the same one look the same to a student."""
    return hashlib.sha256("\x1f".join(texts).encode()).hexdigest()


def seal_set(connection: Connection, sealed: SealedSet) -> None:
    """Record a set that is handed out for the first time."""
    slots = [
        {
            "number": slot.number,
            "model": slot.model,
            "title": slot.title,
            "skill": slot.skill,
            "points": {part: str(points) for part, points in slot.points.items()},
            "kinds": dict(slot.kinds),
            **({"own": slot.own} if slot.own else {}),
            **({"says": dict(slot.says)} if slot.says else {}),
            **({"replacement": [slot.replacement.model, slot.replacement.own]} if slot.replacement.model else {}),
        }
        for slot in sealed.slots
    ]
    connection.execute(
        insert(SET).values(
            name=sealed.name,
            title=sealed.title,
            blueprint=sealed.blueprint,
            rounding=sealed.rounding,
            rounding_hash=sealed.rounding_hash,
            marking=sealed.marking,
            marking_hash=sealed.marking_hash,
            cut_score=str(sealed.cut_score),
            due=sealed.due.isoformat() if sealed.due else None,
            late_percent=sealed.late_percent,
            attempts=sealed.attempts,
            keep=sealed.keep,
            slots=json.dumps(slots),
            library=sealed.library,
            handed_out=sealed.handed_out,
        )
    )


def sealed_set(connection: Connection, name: str) -> SealedSet | None:
    """Return the set of that name as it was handed out, or None."""
    row = connection.execute(select(SET).where(SET.c.name == name)).first()
    if row is None:
        return None
    recorded = json.loads(row.slots)
    instead = had_instead(connection, name, {slot["number"]: slot["model"] for slot in recorded})
    slots = tuple(
        Slot(
            number=slot["number"],
            model=slot["model"],
            title=slot["title"],
            skill=slot["skill"],
            points={part: Fraction(points) for part, points in slot["points"].items()},
            kinds=slot["kinds"],
            own=slot.get("own", ""),
            says=slot.get("says", {}),
            replacement=Replacement(*slot.get("replacement", ())),
            instead=instead.get(slot["number"], {}),
        )
        for slot in recorded
    )
    return SealedSet(
        name=row.name,
        title=row.title,
        blueprint=row.blueprint,
        rounding=row.rounding,
        rounding_hash=row.rounding_hash,
        marking=row.marking,
        marking_hash=row.marking_hash,
        cut_score=Fraction(row.cut_score),
        due=dt.datetime.fromisoformat(row.due) if row.due else None,
        late_percent=row.late_percent,
        attempts=row.attempts,
        keep=row.keep,
        slots=slots,
        library=row.library,
        handed_out=row.handed_out,
    )


def seal_paper(connection: Connection, paper: SealedPaper) -> None:
    """Record one student's set."""
    key = {"set_name": paper.set_name, "pseudonym": paper.pseudonym, "attempt": paper.attempt}
    connection.execute(
        insert(PAPER).values(
            **key,
            tag=paper.tag,
            numbers=paper.numbers,
            checksums=json.dumps(dict(paper.checksums)),
            made=paper.made,
            library=paper.library,
        )
    )
    connection.execute(
        insert(ITEM),
        [{**key, **_item_columns(item)} for item in paper.items],
    )


def _item_columns(item: SealedItem) -> dict[str, Any]:
    """What is recorded of an item, handed out or re-keyed."""
    return {
        "slot": item.slot,
        "model_id": item.model_id,
        "model_version": item.model_version,
        "model_hash": item.model_hash,
        "numbers": item.numbers,
        **_record_columns(item.record),
    }


def _of_paper(table: Table) -> Select[Any]:
    # Built once: every page asks for it, and building it takes as long as its answer.
    of_set, of = bindparam("of_set", type_=String), bindparam("of", type_=String)
    attempt = bindparam("try", type_=Integer)
    return select(table).where(table.c.set_name == of_set, table.c.pseudonym == of, table.c.attempt == attempt)


_ONE_PAPER = _of_paper(PAPER)
_ITEMS_OF_PAPER = _of_paper(ITEM).order_by(ITEM.c.slot)


def sealed_paper(
    connection: Connection,
    set_name: str,
    pseudonym: str,
    attempt: int = 1,
    *,
    faults: bool = True,
    as_handed_out: bool = False,
) -> SealedPaper | None:
    """Return what was handed out to one student, keyed as it counts now; or None.

    Args:
        connection: The class's database.
        set_name: The set.
        pseudonym: The student.
        attempt: Number of the attempt.
        faults: Whether the faults of the items are decoded; else they stand in the record as text, which
            `item_from_record` decodes when they are looked at.
        as_handed_out: Whether the items are wanted with the keys that they had then, whatever was ruled since.
    """
    key = {"of_set": set_name, "of": pseudonym, "try": attempt}
    row = connection.execute(_ONE_PAPER, key).first()
    if row is None:
        return None
    handed_out = connection.execute(_ITEMS_OF_PAPER, key).all()
    rekeyed = {} if as_handed_out else rekeyed_rows(connection, set_name, (pseudonym,))
    items = []
    for one in handed_out:
        again = rekeyed.get((pseudonym, attempt, one.slot))
        item = _item(one if again is None else again, faults=faults)
        if again is not None:
            notes = tuple(map(fact_from_record, json.loads(again.notes)))
            item = item._replace(keyed_since=again.ruling, notes=notes, handed_out=one.model_hash)
        items.append(item)
    return _paper(row, items)


def sealed_papers(connection: Connection, set_name: str) -> Iterator[SealedPaper]:
    """Yield every paper of a set, in the order of the pseudonyms."""
    keys = connection.execute(
        select(PAPER.c.pseudonym, PAPER.c.attempt)
        .where(PAPER.c.set_name == set_name)
        .order_by(PAPER.c.pseudonym, PAPER.c.attempt)
    ).all()
    for pseudonym, attempt in keys:
        paper = sealed_paper(connection, set_name, pseudonym, attempt)
        if paper is not None:
            yield paper


def _record_columns(record: Mapping[str, Any]) -> dict[str, str]:
    """A record in three columns: few readers look at the faults, a line a part, or at the worked solution."""
    parts = [{key: value for key, value in part.items() if key != "faults"} for part in record.get("parts", ())]
    bare = {key: value for key, value in record.items() if key != "worked"}
    bare |= {"parts": parts} if "parts" in record else {}
    faults = [json.dumps(part.get("faults", []), ensure_ascii=False) for part in record.get("parts", ())]
    return {
        "record": json.dumps(bare, ensure_ascii=False),
        "faults": "\n".join(faults),
        "worked": json.dumps(record.get("worked", {}), ensure_ascii=False),
    }


def record_of(bare: str, faults: str, worked: str = "{}", *, decoded: bool = False) -> Mapping[str, Any]:
    """Return a record from its columns; the faults of each part stay text unless they are wanted `decoded`."""
    record: dict[str, Any] = {**orjson.loads(bare), "worked": orjson.loads(worked)}
    lines = faults.split("\n") if faults else ()
    for part, line in zip(record.get("parts", ()), lines, strict=False):
        part["faults"] = orjson.loads(line) if decoded else partial(orjson.loads, line)
    return record


def _item(row: Row[Any], *, faults: bool = True) -> SealedItem:
    return SealedItem(
        slot=row.slot,
        model_id=row.model_id,
        model_version=row.model_version,
        model_hash=row.model_hash,
        numbers=row.numbers,
        record=record_of(row.record, row.faults, row.worked, decoded=faults),
    )


def seal_rekeyed(connection: Connection, paper: SealedPaper, items: Iterable[SealedItem], *, library: str) -> None:
    """Record items of a paper as a ruling has them re-keyed, beside what was handed out.

    Args:
        connection: A connection in a transaction.
        paper: The paper.
        items: The items that are re-keyed.
        library: The version of calclib that re-keyed them.
    """
    key = {"set_name": paper.set_name, "pseudonym": paper.pseudonym, "attempt": paper.attempt}
    rows = [
        {
            **key,
            "ruling": item.keyed_since,
            **_item_columns(item),
            "notes": json.dumps([one.to_record() for one in item.notes], ensure_ascii=False),
            "library": library,
        }
        for item in items
    ]
    if rows:
        connection.execute(insert(REKEYED), rows)


def lock_set(connection: Connection, name: str) -> None:
    """Let nobody else mark or hand out this set until the transaction ends; SQLite locks the whole database anyway."""
    connection.execute(select(SET.c.name).where(SET.c.name == name).with_for_update()).first()


def _paper(row: Row[Any], items: list[SealedItem]) -> SealedPaper:
    return SealedPaper(
        set_name=row.set_name,
        pseudonym=row.pseudonym,
        attempt=row.attempt,
        tag=row.tag,
        numbers=row.numbers,
        checksums=json.loads(row.checksums),
        items=tuple(items),
        made=row.made,
        library=row.library,
    )


def sets_in_order(connection: Connection) -> tuple[str, ...]:
    """Return the names of all sets, in the order in which they went out."""
    return tuple(connection.execute(select(SET.c.name).order_by(SET.c.handed_out, SET.c.name)).scalars())
