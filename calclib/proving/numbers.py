"""The numbers of a draw on which its answers depend, however they are stated, as a mark."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

from calclib.models.model import ItemModel


def counted_names(model: ItemModel) -> frozenset[str]:
    """Return the givens on which answers depend and that a record holds: all but texts that no step reads."""
    read = {value for step in model.steps for value in step.fields.values() if isinstance(value, str)}
    return frozenset(name for name in model.recorded_names if model.givens[name].kind != "text" or name in read)


def numbers_mark(values: Iterable[str]) -> str:
    """Return a short mark of values; two draws with one mark have the same numbers."""
    return sha256("|".join(values).encode()).hexdigest()[:16]
