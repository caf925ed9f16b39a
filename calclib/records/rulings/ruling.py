"""Rulings: what faculty decided about answers and problems, with reason and date. They are only ever added to.

kind       what it decides                                                              value
answer     the points of one student's answer, as long as its text stays the same       points, typed (a hash);
                                                                                         attempts: the number of one
failing    whether an error fails the whole set, as the marking policy says            outcome; typed, attempts as above
text       a text that is accepted as right                                              text
within     numbers that close to each student's own key are right                        amount; percent = "yes" or ""
between    numbers from low to high, in the unit asked, are right                        low, high
credit     full points for everyone who handed in                                        attempts: their numbers,
                                                                                         all if there are none
void       the question doesn't count, for nobody                                        -
hand_in    a hand-in in the student's name is theirs (taken) or isn't (left)                sign, outcome; submission
                                                                                         (SHA-256) of one taken that
                                                                                         doesn't say whose it is
time       when a hand-in came, where that isn't known; in time, where time is ""        time; submission (SHA-256)
                                                                                         if it is on one student's
leave      a notebook that was set aside gets nothing, and waits no longer              submission (SHA-256)
take       a notebook that was set aside is marked all the same                          submission (SHA-256)
marking    the whole set is marked by another marking policy                             policy, hash
rounding   every item is re-keyed by another rounding policy                             policy, hash; printed = "yes"
                                                                                         or "" (see calclib.items)
model      the items of an item model are re-keyed by a corrected version of it          model, version, hash, printed;
                                                                                         before: versions handed out;
                                                                                         problems: their numbers
withdraw   an earlier ruling no longer holds                                             number
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Row, String, bindparam, func, insert, select

from calclib.records.tables import RULING

KINDS = (
    "answer",
    "failing",
    "text",
    "within",
    "between",
    "credit",
    "void",
    "hand_in",
    "time",
    "leave",
    "take",
    "marking",
    "rounding",
    "model",
    "withdraw",
)

# Kinds on which it depends how the items of a set are keyed.
KEYING = ("rounding", "model", "withdraw")


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
        names: The students whose ids stand in the reason, by pseudonym.
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
    names: tuple[str, ...] = ()

    @property
    def problems(self) -> tuple[int, ...]:
        """The problems of which the ruling speaks, none for the whole set."""
        if self.kind == "model":
            return tuple(map(int, self.value["problems"].split()))
        return (self.slot,) if self.slot else ()

    @property
    def takes(self) -> str:
        """SHA-256 of the notebook that is marked by the ruling although it doesn't say that it is the student's."""
        taken = self.kind == "take" or (self.kind == "hand_in" and self.value["outcome"] == "taken")
        return self.value.get("submission", "") if taken else ""

    def in_attempt(self, attempt: int) -> bool:
        """Return whether the ruling speaks of an attempt; of all of them where it names none."""
        named = self.value.get("attempts", "")
        return not named or str(attempt) in named.split()

    def covers(self, slot: int, part: str, pseudonym: str) -> bool:
        """Return whether the ruling speaks of one student's answer."""
        return slot in self.problems and self.part in ("", part) and self.pseudonym in ("", pseudonym)


@dataclass(frozen=True)
class Keying:
    """The rulings by which items are re-keyed.

    Attributes:
        rounding: The one on the rounding policy of the set.
        models: Those on item models, by the model's id.
    """

    rounding: Ruling | None
    models: Mapping[str, Ruling]

    def of(self, model: str) -> tuple[Ruling, ...]:
        """Return the rulings by which the items of an item model are keyed, none if they are as handed out."""
        return tuple(ruling for ruling in (self.rounding, self.models.get(model)) if ruling is not None)

    @property
    def numbers(self) -> frozenset[int]:
        """The numbers of all of them."""
        return frozenset(one.number for one in (self.rounding, *self.models.values()) if one is not None)


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
            names=" ".join(ruling.names),
        )
    )
    return numbered


def rulings_of(connection: Connection, set_name: str) -> tuple[Ruling, ...]:
    """Return all rulings of a set in the order in which they were made, withdrawn ones among them."""
    return tuple(_ruling(row) for row in connection.execute(_OF_SET, {"of_set": set_name}))


def keying_rulings_of(connection: Connection, set_name: str) -> tuple[Ruling, ...]:
    """Return those on which it depends how the items of a set are keyed, in their order; see `rulings_of`."""
    return tuple(_ruling(row) for row in connection.execute(_KEYING_OF_SET, {"of_set": set_name}))


# Built once: they are asked for every paper that is looked at.
_OF_SET = select(RULING).where(RULING.c.set_name == bindparam("of_set", type_=String)).order_by(RULING.c.number)
_KEYING_OF_SET = _OF_SET.where(RULING.c.kind.in_(KEYING))


def _ruling(row: Row[Any]) -> Ruling:
    return Ruling(
        number=row.number,
        kind=row.kind,
        slot=row.slot,
        part=row.part,
        pseudonym=row.pseudonym,
        value=json.loads(row.value),
        reason=row.reason,
        by=row.ruled_by,
        at=row.at,
        names=tuple(row.names.split()),
    )


def in_force(rulings: Iterable[Ruling]) -> tuple[Ruling, ...]:
    """Return the rulings that hold: without those that were withdrawn, and without the withdrawals."""
    every = tuple(rulings)
    gone = {int(ruling.value["number"]) for ruling in every if ruling.kind == "withdraw"}
    return tuple(ruling for ruling in every if ruling.kind != "withdraw" and ruling.number not in gone)


def keying(rulings: Iterable[Ruling]) -> Keying:
    """Return the rulings by which the items are re-keyed: the last on the rounding, and the last on each item model.

    Args:
        rulings: The rulings in force.
    """
    rounding, models = None, {}
    for ruling in rulings:
        if ruling.kind == "rounding":
            rounding = ruling
        elif ruling.kind == "model":
            models[ruling.value["model"]] = ruling
    return Keying(rounding, models)


def keyed_since(rulings: Iterable[Ruling]) -> int:
    """Return the number of the first ruling by which the items came to be keyed as they are now, 0 if as handed out.

    A ruling and those before it never change, so neither does what they make of an item: it is recorded under this
    number, and found again where a later ruling is withdrawn.

    Args:
        rulings: All rulings of the set, in their order.
    """
    every = [ruling for ruling in rulings if ruling.kind in KEYING]
    now = keying(in_force(every)).numbers
    if not now:
        return 0
    return next(
        every[end - 1].number for end in range(1, len(every) + 1) if keying(in_force(every[:end])).numbers == now
    )


def on_the_whole(rulings: Iterable[Ruling], pseudonym: str, submission: str) -> tuple[Ruling, ...]:
    """Return the rulings that speak of a student's whole set or notebook; of several on a policy or model the last.

    Args:
        rulings: The rulings in force, in the order in which they were made.
        pseudonym: The student.
        submission: SHA-256 of the notebook that was marked.
    """
    found: dict[tuple[str, ...], Ruling] = {}
    for ruling in rulings:
        mine = ruling.pseudonym in ("", pseudonym) and ruling.value.get("submission", submission) == submission
        if mine and not ruling.slot:
            kind = "notebook" if ruling.kind in ("leave", "take") else ruling.kind
            found[kind, ruling.value.get("model", ""), ruling.value.get("sign", "")] = ruling
    return tuple(sorted(found.values(), key=lambda ruling: ruling.number))


def typed_hash(pseudonym: str, typed: str) -> str:
    """Return what ties a ruling to the text of one answer without holding the text."""
    return hashlib.sha256(f"{pseudonym}\n{typed.strip()}".encode("utf-8", "replace")).hexdigest()
