"""Conversions from one unit to another, remembered for all set-ups."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.quantity.equivalences import bridge, conversion
from calclib.quantity.units import Unit, parse_unit, unit_table

NO_UNIT = Unit(())
PERCENT = parse_unit("%")
PERCENT_CONSTANT = "percent_strength"
# Large enough that no two products of stated numbers agree at both points, small enough that no band is left.
_POINTS = (10007, 10009)
_MOST_DERIVED = 40

Exponents = Mapping[str, int]
Point = Mapping[str, Fraction]


@lru_cache(maxsize=4096)
def bridge_of(have: Unit, want: Unit) -> tuple[tuple[str, int], ...] | None:
    """The conversions from one unit to another, remembered."""
    return bridge(have, want)


@lru_cache(maxsize=512)
def pairs_of(symbols: tuple[str, ...]) -> tuple[tuple[str, str, tuple[tuple[str, int], ...]], ...]:
    """Pairs of unit symbols that measure the same, with the conversions from the second to the first."""
    dimension_of = unit_table().dimension_of
    found = []
    for of in symbols:
        for per in symbols:
            if of != per and dimension_of[of] == dimension_of[per]:
                try:
                    found.append((of, per, conversion(per, of)))
                except BadInput:
                    continue
    return tuple(found)
