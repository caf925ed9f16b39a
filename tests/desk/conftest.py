"""A class whose first set is marked, and a Jupyter server with its desk."""

from __future__ import annotations

from tests.desk.served import desk, marked_class, served
from tests.small_class.started import folder, hand_in, keys, made_class

__all__ = ["desk", "folder", "hand_in", "keys", "made_class", "marked_class", "served"]
