"""Drawn problems as a student sees them."""

from __future__ import annotations

from calclib.demo.handing_in import question
from calclib.demo.simulated_students import Question
from calclib.items import Item


def questions(item: Item) -> tuple[Question, ...]:
    """The questions of an item as they are printed."""
    return tuple(question(part) for part in item.parts)
