"""What stood in the place of a problem in single attempts: a bad problem is replaced in later ones."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import orjson
from sqlalchemy import Connection, bindparam, select

from calclib.class_files.toml_lines import recorded_toml
from calclib.records.frozen.frozen_texts import frozen_text
from calclib.records.tables import ITEM, PAPER

Attempt = tuple[str, int]
"""The pseudonym of a student and the number of an attempt."""


class HadInstead(NamedTuple):
    """The problem of an attempt where it isn't the one that was handed out first.

    Args:
        model: Id of its item model.
        title: Title of its item model, the id where its text isn't recorded.
        skill: Its skill.
        says: What each part asks, as a noun phrase, by the name by which the place is known.
    """

    model: str
    title: str
    skill: str
    says: Mapping[str, str]


def had_instead(
    connection: Connection, set_name: str, models: Mapping[int, str]
) -> Mapping[int, Mapping[Attempt, HadInstead]]:
    """Return by number of the problem what stood in its place, in the attempts in which another did.

    Args:
        connection: The class's database.
        set_name: The set.
        models: Id of the item model that was handed out first, by number of the problem.
    """
    later = select(PAPER.c.pseudonym).where(PAPER.c.set_name == set_name, PAPER.c.attempt > 1)
    if connection.execute(later.limit(1)).first() is None:
        return {}
    found: dict[int, dict[Attempt, HadInstead]] = {}
    titles: dict[str, str] = {}
    columns = (ITEM.c.slot, ITEM.c.pseudonym, ITEM.c.attempt, ITEM.c.model_id, ITEM.c.model_hash, ITEM.c.record)
    wanted = select(*columns).where(
        ITEM.c.set_name == set_name,
        ITEM.c.attempt > 1,
        ITEM.c.slot == bindparam("place"),
        ITEM.c.model_id != bindparam("model"),
    )
    for number, model in models.items():
        for row in connection.execute(wanted, {"place": number, "model": model}):
            record = orjson.loads(row.record)
            says = {part["name"]: part["says"] for part in record["parts"] if part.get("says")}
            if row.model_hash not in titles:
                titles[row.model_hash] = _title(connection, row.model_hash) or row.model_id
            had = HadInstead(row.model_id, titles[row.model_hash], record["skill"], says)
            found.setdefault(number, {})[row.pseudonym, row.attempt] = had
    return found


def _title(connection: Connection, digest: str) -> str:
    text = frozen_text(connection, digest)
    return str(recorded_toml(text, where="item model").get("title", "")) if text else ""
