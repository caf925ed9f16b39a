"""A value that a set-up may use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from calclib.chains.factors import without_doses
from calclib.quantity.units import Dimension, Unit

Exponents = Mapping[str, int]


@dataclass(frozen=True)
class Quantity:
    """A value that a set-up may use.

    Args:
        exponents: What it is made of: exponents of the numbers of the stem.
        value: Its value.
        unit: Its unit.
        says: Its words.
        text: How the problem states it.
        stated: Whether the stem states it.
        derived: Whether it is calculated on the way from several numbers, and no step of the solution.
    """

    exponents: Exponents
    value: Fraction
    unit: Unit
    says: str
    text: str
    stated: bool
    derived: bool = False

    @cached_property
    def plain(self) -> Unit:
        """Its unit without “per dose”, which is said or left out as one likes."""
        return without_doses(self.unit)

    @cached_property
    def above(self) -> Unit:
        """The part of its unit above the line: gtt of gtt/mL."""
        return above_the_line(self.unit)

    @cached_property
    def below(self) -> Unit:
        """What its unit has beside that."""
        return self.unit / self.above

    @cached_property
    def dimensions(self) -> tuple[Dimension, Dimension]:
        """What the unit, and its part above the line, measure."""
        return self.plain.dimension, self.above.dimension


def above_the_line(unit: Unit) -> Unit:
    """Return the part of a unit above the line: gtt of gtt/mL."""
    return Unit(tuple((s, e) for s, e in unit.powers if e > 0))
