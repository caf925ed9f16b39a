"""The bank: the item models that ship."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache, lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from calclib.errors.messages import BadInput
from calclib.models.model import ItemModel
from calclib.models.reader import read_item_model
from calclib.wording.facts import fact

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


@cache
def bank() -> Mapping[str, ItemModel]:
    """Return all item models that ship, by id, in the order of learning."""
    names = sorted(file.name for file in _folder().iterdir() if file.name.endswith(".toml"))
    models = [_of_file(name) for name in names]
    return {model.id: model for model in sorted(models, key=lambda m: (m.order, m.id))}


def known_model(name: str) -> ItemModel | None:
    """Return one item model of the bank, None if there is none of that id; no other is read."""
    return _of_file(_file_of(name)) if is_of_bank(name) else None


@lru_cache(maxsize=4096)
def is_of_bank(name: str) -> bool:
    """Return whether an item model of the bank has an id; nothing is read."""
    return bool(_ID.fullmatch(name)) and _folder().joinpath(_file_of(name)).is_file()


def item_model(name: str) -> ItemModel:
    """Return one item model of the bank.

    Raises:
        BadInput: There is none of that id; the nearest is named.
    """
    model = known_model(name)
    if model is not None:
        return model
    models = bank()
    near = get_close_matches(name, models, 1, 0.4)
    if near:
        raise BadInput(fact("errors_models.no_model_but", name=name, near=near[0]))
    raise BadInput(fact("errors_models.no_model", name=name, known=tuple(models)))


def _file_of(name: str) -> str:
    """A model's file is named as its id."""
    return f"{name.replace('-', '_')}.toml"


@cache
def _of_file(name: str) -> ItemModel:
    return read_item_model(_folder().joinpath(name).read_text(encoding="utf-8"), name)


def _folder() -> Traversable:
    return files("calclib.models").joinpath("bank")
