"""Item model files: read, checked, and the bank of them."""

from calclib.models.bank import bank, item_model
from calclib.models.model import ItemModel
from calclib.models.reader import read_item_model

__all__ = ["ItemModel", "bank", "item_model", "read_item_model"]
