"""Numbers with units as the formulary compares them: exact, for each kg or in all."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.quantity.amounts import parse_amount
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import has_finite_decimals, write_quantity
from calclib.wording.facts import fact

SUBSTANCES = ("drug mass", "drug activity", "drug charge", "drug substance")
"""What an amount of a drug may be measured by."""
_WRITTEN_DECIMALS = 3


@dataclass(frozen=True)
class Amount:
    """A number with its unit.

    Args:
        value: The number.
        unit: The unit.
        text: As the file writes it, "" where it was computed.
    """

    value: Fraction
    unit: Unit
    text: str = ""

    def __str__(self) -> str:
        if self.text:
            return self.text
        return write_quantity(
            self.value, str(self.unit), None if has_finite_decimals(self.value) else _WRITTEN_DECIMALS
        )

    def in_unit(self, unit: Unit) -> Amount | None:
        """Return the same amount in another unit; None if the two measure different things."""
        if self.unit == unit:
            return self if not self.text else Amount(self.value, unit)
        factor = bridge_factor(self.unit, unit, {})
        return None if factor is None else Amount(self.value * factor, unit)

    def times(self, number: Fraction, unit: Unit | None = None) -> Amount:
        """Return the amount multiplied by a number, and by a unit."""
        return Amount(self.value * number, self.unit if unit is None else self.unit * unit)

    def over(self, other: Amount) -> Fraction | None:
        """Return how many times the other amount this one is; None if they measure different things or it is 0."""
        if not other.value:
            return None
        if self.unit == other.unit:
            return self.value / other.value
        factor = bridge_factor(self.unit, other.unit, {})
        return None if factor is None else self.value * factor / other.value


_IN_VOLUME = re.compile(r"(.+)/([\d.,]+ (?:mL|L))")


def amount(text: str) -> Amount:
    """Return the amount that a data file writes: "1,500 mg/day", "0.5 mcg/kg/min", "125 mg/5 mL".

    Raises:
        BadInput: The text is no number with a unit, or divides by 0.
    """
    if found := _IN_VOLUME.fullmatch(text):
        (value, unit), (volume, below) = parse_amount(found[1]), parse_amount(found[2])
        if not volume:
            raise BadInput(fact("errors_formulary.divides_by_zero", text=text))
        return Amount(value / volume, unit / below, text)
    value, unit = parse_amount(text)
    return Amount(value, unit, text)


KG = parse_unit("kg")
SQUARE_METER = parse_unit("m2")
DAY = parse_unit("day")
YEAR = parse_unit("yr")
HOUR = parse_unit("h")
MINUTE = parse_unit("min")
ML = parse_unit("mL")

DAYS_OF_YEAR = Fraction(1461, 4)
"""A year of an age, four with one leap year; no conversion of months to days is taught, and ages need one."""


def age_in_days(age: Amount) -> Fraction | None:
    """Return an age as a number of days, None if it is no time."""
    if age.unit.dimension != YEAR.dimension:
        return None
    if any(symbol in ("mo", "yr") for symbol, _ in age.unit.powers):
        years = age.in_unit(YEAR)
        return None if years is None else years.value * DAYS_OF_YEAR
    days = age.in_unit(DAY)
    return None if days is None else days.value


@dataclass(frozen=True)
class Shape:
    """What an amount of a drug is: how much, for each kg or square meter, in a time, in a volume.

    Args:
        of: drug mass, activity, charge, substance or volume.
        per: "body weight", "area" or "".
        time: The symbol of the time in which it is given, "" if none.
        in_volume: Whether it is a concentration.
    """

    of: str
    per: str = ""
    time: str = ""
    in_volume: bool = False


_PER = {(): "", (("body weight", -1),): "body weight", (("length", -2),): "area"}


@lru_cache(maxsize=1024)
def shape_of(unit: Unit) -> Shape | None:
    """Return what an amount in this unit is, None if it is no amount of a drug."""
    measured = dict(unit.dimension)
    time = measured.pop("time", 0)
    found = [name for name in (*SUBSTANCES, "volume") if measured.get(name) == 1]
    if len(found) != 1 or time not in (0, -1):
        return None
    measured.pop(found[0])
    in_volume = measured.pop("volume", 0)
    per = _PER.get(tuple(sorted(measured.items())))
    if per is None or in_volume not in (0, -1):
        return None
    symbol = next((s for s, power in unit.powers if power == -1 and Unit.of([(s, 1)]).dimension == (("time", 1),)), "")
    return Shape(found[0], per, symbol if time else "", in_volume == -1)
