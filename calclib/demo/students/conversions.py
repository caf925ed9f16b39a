"""Conversions as they are taught."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NotUnderstoodError

# (larger unit, smaller unit): how many of the smaller make one of the larger.
TAUGHT = {
    ("kg", "g"): Decimal(1000),
    ("g", "mg"): Decimal(1000),
    ("g", "mcg"): Decimal(1000000),
    ("mg", "mcg"): Decimal(1000),
    ("mcg", "ng"): Decimal(1000),
    ("L", "mL"): Decimal(1000),
    ("units", "milliunits"): Decimal(1000),
    ("h", "min"): Decimal(60),
    ("min", "s"): Decimal(60),
    ("day", "h"): Decimal(24),
    ("kg", "lb"): Decimal("2.2"),
    ("lb", "oz"): Decimal(16),
    ("m", "cm"): Decimal(100),
    ("tsp", "mL"): Decimal(5),
    ("tbsp", "mL"): Decimal(15),
    ("oz", "mL"): Decimal(30),
    ("cup", "mL"): Decimal(240),
    ("gal", "qt"): Decimal(4),
    ("qt", "pt"): Decimal(2),
    ("pt", "cup"): Decimal(2),
    ("cup", "tbsp"): Decimal(16),
    ("tbsp", "tsp"): Decimal(3),
    ("L", "qt"): Decimal("1.06"),
    ("gal", "L"): Decimal("3.7854"),
}

# Measures that are taken for each other, from small to large: those with mL, and those of the kitchen.
HOUSEHOLD = ("tsp", "tbsp", "oz", "cup")
KITCHEN = ("tsp", "tbsp", "cup", "pt", "qt", "gal")


def neighbors(unit: str, measures: tuple[str, ...]) -> tuple[str, ...]:
    """Return the measures next to one, larger and smaller; none of a unit that is no such measure."""
    if unit not in measures:
        return ()
    at = measures.index(unit)
    return (*measures[at + 1 : at + 2], *measures[max(at - 1, 0) : at])


def taught(have: str, want: str) -> tuple[Decimal, bool]:
    """Return the number of a conversion, and whether to multiply by it.

    Raises:
        NotUnderstoodError: No such conversion is taught.
    """
    if (have, want) in TAUGHT:
        return TAUGHT[have, want], True
    if (want, have) in TAUGHT:
        return TAUGHT[want, have], False
    raise NotUnderstoodError(f"no conversion from {have} to {want} is taught")
