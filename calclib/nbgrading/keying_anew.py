"""Key the items of a set anew where a ruling says so: once, from what was recorded, before the set is marked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib.records.policy_words import recorded_model, recorded_rounding
from calclib.records.rulings import Ruling, in_force, keying, rulings_of
from calclib.records.sealed import SealedItem, SealedPaper, seal_anew, sealed_paper, write_history
from calclib.records.tables import PAPER, REKEYED

if TYPE_CHECKING:
    from calclib.items import ItemModel
    from calclib.quantity import RoundingPolicy

_LOST = "can't be keyed anew, since its item model can't be read by this version: the old key stays."


def key_anew(connection: Connection, set_name: str, *, now: dt.datetime) -> None:
    """Record each item of a set as the ruling in force keys it, where that isn't recorded yet.

    What was handed out stays recorded as it was; so does what an earlier ruling made of it.

    Args:
        connection: A connection in a transaction that holds the set.
        set_name: The set.
        now: The time that is recorded.

    Raises:
        CalclibError: the record of the policy is lost.
    """
    ruling = keying(in_force(rulings_of(connection, set_name)))
    if ruling is None:
        return
    models = _Models(connection)
    policy = recorded_rounding(connection, ruling.value["hash"])
    items = noted = 0
    for paper in _without(connection, set_name, ruling.number):
        anew = _keyed(paper, ruling, policy, models)
        seal_anew(connection, paper, anew)
        items += len(anew)
        noted += sum(bool(one.notes) for one in anew)
    if items:
        detail = {"ruling": ruling.number, "rounding": ruling.value["policy"], "items": items, "not fair": noted}
        write_history(connection, at=now, event="keyed anew", set_name=set_name, detail=detail)


def _without(connection: Connection, set_name: str, ruling: int) -> Iterator[SealedPaper]:
    """The papers, as they were handed out, whose items the ruling hasn't keyed yet."""
    where = (REKEYED.c.set_name == set_name, REKEYED.c.ruling == ruling)
    done = set(map(tuple, connection.execute(select(REKEYED.c.pseudonym, REKEYED.c.attempt).where(*where).distinct())))
    papers = select(PAPER.c.pseudonym, PAPER.c.attempt).where(PAPER.c.set_name == set_name)
    for pseudonym, attempt in connection.execute(papers.order_by(PAPER.c.pseudonym, PAPER.c.attempt)).all():
        if (pseudonym, attempt) not in done:
            paper = sealed_paper(connection, set_name, pseudonym, attempt, as_handed_out=True)
            assert paper is not None, "it was listed a moment ago"
            yield paper


class _Models(dict[str, "ItemModel | None"]):
    """Recorded item models by hash, each read once: it is compiled for all students together."""

    def __init__(self, connection: Connection) -> None:
        super().__init__()
        self.connection = connection

    def __missing__(self, key: str) -> ItemModel | None:
        self[key] = recorded_model(self.connection, key)
        return self[key]


def _keyed(paper: SealedPaper, ruling: Ruling, policy: RoundingPolicy, models: _Models) -> list[SealedItem]:
    from calclib.items import item_from_record
    from calclib.items.keyed_anew import KeyedAnew, keyed_anew

    anew = []
    for one in paper.items:
        model = models[one.model_hash]
        found = KeyedAnew(item_from_record(one.record), (_LOST,))
        if model is not None:
            found = keyed_anew(found.item, model, policy, printed=bool(ruling.value["printed"]))
        anew.append(
            one._replace(
                record=found.item.to_record(),
                worked={part.name: "\n".join(found.item.worked[part.name]) for part in found.item.parts},
                keyed_by=ruling.number,
                notes=found.notes,
            )
        )
    return anew
