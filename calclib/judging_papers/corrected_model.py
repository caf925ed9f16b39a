"""The corrected item model by which faculty rules that problems are re-keyed, compared with the set."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib.class_files.names import visible
from calclib.errors import BadInput
from calclib.records.frozen.frozen_models import freeze_model
from calclib.records.rulings.ruling import Keying
from calclib.records.sealed import SealedSet, record_of
from calclib.records.tables import ITEM
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.models import ItemModel


def corrected_model_value(
    connection: Connection, sealed: SealedSet, keying: Keying, model: ItemModel, *, file: str, printed: str
) -> Mapping[str, str]:
    """Return what a ruling on an item model needs, and record the model's text.

    Args:
        connection: A connection in a transaction that holds the set.
        sealed: The set.
        keying: The rulings by which it is re-keyed by now.
        model: The corrected item model.
        file: The file or id by which faculty named it, for messages.
        printed: "yes" if what is right as it was handed out stays right, else "".

    Raises:
        BadInput: the set has no problem of this item model, or has it from the same version already, or other givens
            or parts.
    """
    from calclib.items import item_from_record
    from calclib.items.keys.corrected_item import refuse_unlike

    where = Path(file).name
    slots = [slot.number for slot in sealed.slots if slot.model == model.id]
    if not slots:
        raise BadInput(
            fact(
                "errors_judging_papers.no_problem_of_model",
                model=visible(model.id),
                known=tuple(dict.fromkeys(slot.model for slot in sealed.slots)),
            ),
            where=where,
        )
    mine = (ITEM.c.set_name == sealed.name, ITEM.c.model_id == model.id)
    drawn = connection.execute(select(ITEM.c.model_hash, ITEM.c.model_version).where(*mine).distinct()).all()
    others = {row.model_hash: row.model_version for row in drawn if row.model_hash != model.hash}
    versions = sorted(set(others.values()))
    if not versions:
        ruling = keying.models.get(model.id)
        what = fact("errors_judging_papers.same_version", version=model.version)
        if ruling is not None:
            what = fact("errors_judging_papers.version_of_ruling", version=model.version, ruling=ruling.number)
        raise BadInput(what, where=where)
    if model.version in versions:
        raise BadInput(
            fact(
                "errors_judging_papers.version_handed_out", version=model.version, model=model.id, next=versions[-1] + 1
            ),
            where=where,
        )
    for digest in others:
        row = connection.execute(select(ITEM.c.record, ITEM.c.faults).where(*mine, ITEM.c.model_hash == digest)).first()
        assert row is not None, "it was listed a moment ago"
        try:
            refuse_unlike(item_from_record(record_of(row.record, row.faults)), model)
        except BadInput as error:
            raise BadInput(error.what, where=where, line=error.line) from None
    return {
        "model": model.id,
        "version": str(model.version),
        "hash": freeze_model(connection, model),
        "before": " and ".join(map(str, versions)),
        "problems": " ".join(map(str, slots)),
        "printed": printed,
    }
