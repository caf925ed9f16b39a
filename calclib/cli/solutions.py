"""Worked solutions for the commands."""

from __future__ import annotations

from calclib.items.item import Item
from calclib.items.solution import solution_of
from calclib.models.model import ItemModel


def worked_of(item: Item, model: ItemModel) -> dict[str, tuple[str, ...]]:
    """Return the lines of the worked solution for each part."""
    solution = solution_of(item, model)
    return {part.name: solution.worked(part.name) for part in item.parts}
