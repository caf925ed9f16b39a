"""The items drawn from item models: numbers, key, solution."""

from calclib.items.drawing import draw_item
from calclib.items.drawn import Drawing, drawing_of
from calclib.items.item import Accepted, Item, ItemPart, StatedGiven, item_from_record
from calclib.items.recorded.fault_result import FaultResult
from calclib.items.solution import Solution, solution_of

__all__ = [
    "Accepted",
    "Drawing",
    "FaultResult",
    "Item",
    "ItemPart",
    "Solution",
    "StatedGiven",
    "draw_item",
    "drawing_of",
    "item_from_record",
    "solution_of",
]
