"""Items that version 0.1.0 recorded: where a step asked only rounds, they hold its rounded value as the exact one."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.items.item import Item, ItemPart
from calclib.items.part_units import asked_value
from calclib.items.solution import rebuilt
from calclib.models.model import ItemModel
from calclib.quantity.enclosure import Undecided
from calclib.quantity.rounding import RoundingPolicy


def with_unrounded_values(item: Item, model: ItemModel, policy: RoundingPolicy) -> Item:
    """Return an item with the value before rounding in each part that asks a step that only rounds.

    Args:
        item: The item as 0.1.0 recorded it, with its key.
        model: The model by which it is keyed, of the same text.
        policy: The rounding policy by which it is keyed.
    """
    rounding = {step.name for step in model.steps if step.kind == "round"}
    asked = {part.name: part for part in model.parts if part.asks in rounding}
    if not any(_holds_key(part) for part in item.parts if part.name in asked):
        return item
    try:
        ready, values = rebuilt(item, model, policy)
        parts = tuple(
            part._replace(exact=asked_value(values, asked[part.name], ready.chain))
            if part.name in asked and _holds_key(part)
            else part
            for part in item.parts
        )
    except (BadInput, Undecided, ZeroDivisionError):
        return item
    return item._replace(parts=parts)


def _holds_key(part: ItemPart) -> bool:
    return part.kind == "quantity" and part.exact is not None and part.exact == part.key
