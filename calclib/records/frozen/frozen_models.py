"""An item model is recorded with the rows of the formulary, and of what a body takes, that it draws with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.records.frozen.frozen_texts import freeze_text

if TYPE_CHECKING:
    from calclib.models import ItemModel


def freeze_model(connection: Connection, model: ItemModel) -> str:
    """Record a model, the texts of its drugs and of what a body takes, each once, and return the model's hash."""
    from calclib.formulary.body import BODY, shipped_body
    from calclib.formulary.catalogue import drug_text

    for name, digest in model.formulary.items():
        shipped = drug_text(name)
        text = model.recorded.get(name) or (shipped[1] if shipped else "")
        freeze_text(connection, "drug", name, text, digest)
    if model.body_row:
        freeze_text(connection, "drug", BODY, (model.body or shipped_body()).text, model.body_row)
    return freeze_text(connection, "item model", model.id, model.text, model.hash)
