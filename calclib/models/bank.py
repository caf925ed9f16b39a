"""The bank: the item models that ship."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from calclib.errors.messages import BadInput
from calclib.models.model import ItemModel
from calclib.models.reader import read_item_model
from calclib.wording.facts import fact


@cache
def bank() -> Mapping[str, ItemModel]:
    """Return all item models that ship, by id, in the order of learning."""
    folder = files("calclib.models").joinpath("bank")
    models = [
        read_item_model(file.read_text(encoding="utf-8"), file.name)
        for file in sorted(folder.iterdir(), key=lambda f: f.name)
        if file.name.endswith(".toml")
    ]
    return {model.id: model for model in sorted(models, key=lambda m: (m.order, m.id))}


def item_model(name: str) -> ItemModel:
    """Return one item model of the bank.

    Raises:
        BadInput: There is none of that id; the nearest is named.
    """
    models = bank()
    if name not in models:
        near = get_close_matches(name, models, 1, 0.4)
        if near:
            raise BadInput(fact("errors_models.no_model_but", name=name, near=near[0]))
        raise BadInput(fact("errors_models.no_model", name=name, known=tuple(models)))
    return models[name]
