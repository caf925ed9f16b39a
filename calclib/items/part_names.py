"""The name of an item's only part: a problem that takes another's place has the name by which that place is known."""

from __future__ import annotations

from calclib.items.item import Item


def with_only_part(item: Item, name: str) -> Item:
    """Return an item whose only part has another name; one of several parts keeps its names.

    Args:
        item: The item.
        name: The name.
    """
    if len(item.parts) != 1 or item.parts[0].name == name:
        return item
    (part,) = item.parts
    return item._replace(parts=(part._replace(name=name),), worked={name: item.worked[part.name]})
