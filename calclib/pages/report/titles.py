"""The titles of problems where others stand in their place in later attempts."""

from __future__ import annotations

from calclib.records.sealed_slots import Slot
from calclib.wording import said


def title_of(slot: Slot) -> str:
    """Return the title of a place: that of the problem that was handed out first, and of those in its place."""
    first, *others = slot.titles
    return said("report.title_replaced", title=first, others=tuple(others)) if others else first


def place_of(slot: Slot, had: Slot, part: str) -> str:
    """Return where a part stands, with the title of its problem where another stands in the place.

    Args:
        slot: The place.
        had: The place with the problem that the student had there.
        part: Name of the part.
    """
    place = had.place(part)
    return place if had.model == slot.model else said("report.place_of_replaced", place=place, title=had.title)
