"""Rulings: what faculty decided about answers and problems, with reason and date. They are only ever added to.

kind       what it decides                                                              value
answer     the points of one student's answer, as long as its text stays the same       points, typed (a hash)
text       a text that is accepted as right                                              text
within     numbers that close to each student's own key are right                        amount; percent = "yes" or ""
between    numbers from low to high, in the unit asked, are right                        low, high
credit     full points for everyone who handed in                                        -
void       the question doesn't count, for nobody                                        -
hand_in    a hand-in in the student's name is theirs (taken) or isn't (left)                sign, outcome
leave      a notebook that was set aside gets nothing, and waits no longer              submission (SHA-256)
take       a notebook that was set aside is marked all the same                          submission (SHA-256)
marking    the whole set is marked by another marking policy                             policy, hash
rounding   every item is keyed anew by another rounding policy                           policy, hash; printed = "yes"
                                                                                         or "" (see calclib.items)
withdraw   an earlier ruling no longer holds                                             number
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from sqlalchemy import Connection, func, insert, select

from calclib.quantity.writing import write_number
from calclib.records.sealed import SealedSet
from calclib.records.tables import RULING

KINDS = (
    "answer",
    "text",
    "within",
    "between",
    "credit",
    "void",
    "hand_in",
    "leave",
    "take",
    "marking",
    "rounding",
    "withdraw",
)


@dataclass(frozen=True)
class Ruling:
    """One ruling.

    Attributes:
        number: Number of the ruling in its set, from 1.
        kind: What it decides, see above.
        slot: The problem, from 1; 0 for the whole set.
        part: The part of the problem, "" for all of it.
        pseudonym: The student, "" for everyone.
        value: What the kind needs.
        reason: Why, in the words of whoever ruled.
        by: Who ruled, "" if that wasn't said.
        at: When, ISO 8601.
    """

    number: int
    kind: str
    slot: int
    part: str
    pseudonym: str
    value: Mapping[str, str]
    reason: str
    by: str
    at: str

    def covers(self, slot: int, part: str, pseudonym: str) -> bool:
        """Return whether the ruling speaks of one student's answer."""
        return self.slot == slot and self.part in ("", part) and self.pseudonym in ("", pseudonym)


def add_ruling(connection: Connection, set_name: str, ruling: Ruling) -> Ruling:
    """Record a ruling under the next free number, and return it with that number."""
    last = connection.execute(select(func.max(RULING.c.number)).where(RULING.c.set_name == set_name)).scalar()
    numbered = replace(ruling, number=(last or 0) + 1)
    connection.execute(
        insert(RULING).values(
            set_name=set_name,
            number=numbered.number,
            kind=ruling.kind,
            slot=ruling.slot,
            part=ruling.part,
            pseudonym=ruling.pseudonym,
            value=json.dumps(dict(ruling.value), ensure_ascii=False, sort_keys=True),
            reason=ruling.reason,
            ruled_by=ruling.by,
            at=ruling.at,
        )
    )
    return numbered


def rulings_of(connection: Connection, set_name: str) -> tuple[Ruling, ...]:
    """Return all rulings of a set in the order in which they were made, withdrawn ones among them."""
    rows = connection.execute(select(RULING).where(RULING.c.set_name == set_name).order_by(RULING.c.number))
    return tuple(
        Ruling(
            number=row.number,
            kind=row.kind,
            slot=row.slot,
            part=row.part,
            pseudonym=row.pseudonym,
            value=json.loads(row.value),
            reason=row.reason,
            by=row.ruled_by,
            at=row.at,
        )
        for row in rows
    )


def in_force(rulings: Iterable[Ruling]) -> tuple[Ruling, ...]:
    """Return the rulings that hold: without those that were withdrawn, and without the withdrawals."""
    every = tuple(rulings)
    gone = {int(ruling.value["number"]) for ruling in every if ruling.kind == "withdraw"}
    return tuple(ruling for ruling in every if ruling.kind != "withdraw" and ruling.number not in gone)


def as_ruled(sealed: SealedSet, rulings: Iterable[Ruling]) -> SealedSet:
    """Return a set as it counts now: a question that was declared void has no points, another policy marks it.

    Args:
        sealed: The set as it was handed out.
        rulings: The rulings in force.
    """
    known = tuple(rulings)
    void = [ruling for ruling in known if ruling.kind == "void"]
    slots = tuple(
        replace(
            slot,
            points={
                part: Fraction(0) if any(ruling.covers(slot.number, part, "") for ruling in void) else points
                for part, points in slot.points.items()
            },
        )
        for slot in sealed.slots
    )
    policies = [ruling.value for ruling in known if ruling.kind == "marking"]
    if policies:
        sealed = replace(sealed, marking=policies[-1]["policy"], marking_hash=policies[-1]["hash"])
    return as_keyed(replace(sealed, slots=slots), known)


def as_keyed(sealed: SealedSet, rulings: Iterable[Ruling]) -> SealedSet:
    """Return a set with the rounding policy by which it is keyed now.

    Args:
        sealed: The set.
        rulings: The rulings in force.
    """
    ruling = keying(rulings)
    if ruling is None:
        return sealed
    return replace(sealed, rounding=ruling.value["policy"], rounding_hash=ruling.value["hash"])


def keying(rulings: Iterable[Ruling]) -> Ruling | None:
    """Return the ruling by which the items are keyed anew, None where they are as handed out.

    Args:
        rulings: The rulings in force.
    """
    return next((ruling for ruling in reversed(tuple(rulings)) if ruling.kind == "rounding"), None)


def typed_hash(pseudonym: str, typed: str) -> str:
    """Return what ties a ruling to the text of one answer without holding the text."""
    return hashlib.sha256(f"{pseudonym}\n{typed.strip()}".encode("utf-8", "replace")).hexdigest()


def ruling_in_words(ruling: Ruling) -> str:
    """Return what a ruling decides, as a sentence without its reason."""
    value = ruling.value
    if ruling.kind == "answer":
        return f"This answer gets {_points(value['points'])}."
    if ruling.kind == "text":
        return f"“{value['text']}” is accepted as an answer."
    if ruling.kind == "within":
        amount = f"{_number(value['amount'])}%" if value.get("percent") else _number(value["amount"])
        return f"Numbers within {amount} of the right answer are accepted."
    if ruling.kind == "between":
        return f"Numbers from {_number(value['low'])} to {_number(value['high'])} are accepted."
    if ruling.kind == "withdraw":
        return f"Ruling {value['number']} no longer holds."
    if ruling.kind == "marking":
        return f"The set is marked by the marking policy “{value['policy']}”."
    if ruling.kind == "hand_in":
        taken = "is the student's own and was taken" if value["outcome"] == "taken" else "was left out"
        return f"The hand-in {value['sign']} in this name {taken}."
    if ruling.kind == "rounding":
        stays = "what is right by the rule printed in the notebook stays right"
        goes = "the rule printed in the notebook no longer counts"
        return f"Answers are keyed by the rounding policy “{value['policy']}”; {stays if value['printed'] else goes}."
    return {
        "credit": "Everyone who handed in gets full points for it.",
        "void": "It counts for nobody.",
        "leave": "The notebook stays set aside, and gets no points.",
        "take": "The notebook is marked although it was set aside.",
    }[ruling.kind]


def where_in_words(ruling: Ruling) -> str:
    """Return of what a ruling speaks: "problem 3, rate", "the whole set"."""
    if not ruling.slot:
        return "the whole set"
    return f"problem {ruling.slot}{', ' if ruling.part else ''}{ruling.part.replace('_', ' ')}"


def day_in_words(at: str) -> str:
    """Return the day of a recorded time: "2 December 2026"."""
    time = dt.datetime.fromisoformat(at)
    return f"{time.day} {time:%B %Y}"


def _points(text: str) -> str:
    return f"{_number(text)} {'point' if Fraction(text) == 1 else 'points'}"


def _number(text: str) -> str:
    return write_number(Fraction(text), 4)
