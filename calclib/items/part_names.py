"""The names of an item's parts: a problem that takes another's place goes by the names of the place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calclib.items.item import Item


def with_part_names(item: Item, names: Sequence[str]) -> Item:
    """Return an item whose parts have other names, in their order; those of its model are kept beside them.

    Args:
        item: The item.
        names: As many names as it has parts.
    """
    own = item.own_names or tuple(part.name for part in item.parts)
    renamed = _renamed(item, names)
    return renamed._replace(own_names=() if tuple(names) == own else own)


def with_own_names(item: Item) -> Item:
    """Return an item whose parts have the names that its model gives them."""
    return _renamed(item, item.own_names)._replace(own_names=()) if item.own_names else item


def own_name(record: Mapping[str, Any], part: str) -> str:
    """Return the name that its model gives a part of a recorded item.

    Args:
        record: The record.
        part: The part's name there.
    """
    names = [one["name"] for one in record["parts"]]
    return str(record["own_names"][names.index(part)]) if "own_names" in record else part


def _renamed(item: Item, names: Sequence[str]) -> Item:
    pairs = tuple(zip(item.parts, names, strict=True))
    return item._replace(
        parts=tuple(part._replace(name=name) for part, name in pairs),
        worked={name: item.worked[part.name] for part, name in pairs if part.name in item.worked},
    )
