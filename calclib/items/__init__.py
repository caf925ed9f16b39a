"""Item models and the items drawn from them."""

from calclib.items.bank import bank, item_model
from calclib.items.drawing import draw_item
from calclib.items.drawn import Drawing, drawing_of
from calclib.items.item import Accepted, FaultResult, Item, ItemPart, StatedGiven, item_from_record
from calclib.items.model import ItemModel
from calclib.items.model_reader import read_item_model
from calclib.items.solution import Solution, solution_of

__all__ = [
    "Accepted",
    "Drawing",
    "FaultResult",
    "Item",
    "ItemModel",
    "ItemPart",
    "Solution",
    "StatedGiven",
    "bank",
    "draw_item",
    "drawing_of",
    "item_from_record",
    "item_model",
    "read_item_model",
    "solution_of",
]
