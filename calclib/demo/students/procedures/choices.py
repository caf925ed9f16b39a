"""Choices: below, within or above, and the smallest that is large enough."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from calclib.demo.students.figures import to_step
from calclib.demo.students.worksheet import Worksheet

ONE = Decimal(1)


def choose(sheet: Worksheet, part: str, words: Sequence[str], at: int) -> None:
    """Answer with the choice in which a word stands."""
    if (way := sheet.slips("wrong-choice", part, len(words) - 1)) is not None:
        at = (at + 1 + way) % len(words)
    sheet.note(part, words[at])


def side(value: Decimal, low: Decimal, high: Decimal) -> int:
    """Return 0 below, 1 within (both ends count) or 2 above two limits."""
    return 0 if value < low else 2 if value > high else 1


def smallest(value: Decimal, sizes: Sequence[Decimal]) -> int:
    """Return which of several sizes in order is the first to hold a value; the last if none does."""
    return next((i for i, size in enumerate(sizes) if value <= size), len(sizes) - 1)


def whole_ones(sheet: Worksheet, value: Decimal, place: str) -> Decimal:
    """Return how many whole bags, vials or injections a part-number makes."""
    way = "down" if sheet.slips("rounded-down", place) is not None else "up"
    return to_step(value, ONE, way)


def least(sheet: Worksheet, value: Decimal, limit: Decimal, place: str) -> Decimal:
    """Return a value, no larger than a limit."""
    if sheet.slips("limit-ignored", place) is not None:
        return value
    if sheet.slips("limit-always", place) is not None:
        return limit
    return min(value, limit)


def greatest(sheet: Worksheet, value: Decimal, limit: Decimal, place: str) -> Decimal:
    """Return a value, no smaller than a limit."""
    if sheet.slips("limit-ignored", place) is not None:
        return value
    if sheet.slips("limit-always", place) is not None:
        return limit
    return max(value, limit)
