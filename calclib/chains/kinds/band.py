"""Band: a rate that changes at given values, added up band by band."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.factors import Env, Names, Value
from calclib.chains.step import Step, StepKind
from calclib.errors.messages import BadInput
from calclib.quantity.amounts import parse_amount
from calclib.quantity.enclosure import Exact
from calclib.quantity.equivalences import bridge_factor
from calclib.wording.facts import fact


@dataclass(frozen=True)
class RateBand:
    """The rate that holds up to a value of the input; the last has no end."""

    upto: Fraction | None
    rate: Fraction


@dataclass(frozen=True)
class Band(Step):
    """The sum over bands of rate times the part of the input in the band.

    Args:
        of: The input's name.
        bands: The bands in rising order.
        progressive: Whether each band's rate holds only for its own part (else one rate for the whole input).
    """

    of: str
    bands: tuple[RateBand, ...]
    progressive: bool = True

    @property
    def inputs(self) -> tuple[str, ...]:
        """The name of the input."""
        return (self.of,)

    def evaluate(self, env: Env) -> Value:
        """Return the amount for the whole input."""
        value = env[self.of]
        assert not isinstance(value, str)
        if not self.progressive:
            return value * self.bands[self.reached(value)].rate
        total: Exact = Fraction(0)
        below = Fraction(0)
        for band in self.bands:
            if band.upto is None or value <= band.upto:
                return total + (value - below) * band.rate
            total = total + (band.upto - below) * band.rate
            below = band.upto
        return total

    def reached(self, value: Exact) -> int:
        """Return the index of the band in which a value lies."""
        for i, band in enumerate(self.bands):
            if band.upto is None or value <= band.upto:
                return i
        return len(self.bands) - 1


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Band:
    """Return the step that `of` and `bands` describe.

    Raises:
        BadInput: A band's units do not fit, or the bands do not rise.
    """
    unit = names.unit(fields["of"])
    bands = []
    for row in fields["bands"]:
        rate, rate_unit = parse_amount(row["rate"])
        factor = bridge_factor(rate_unit * unit, common["unit"], {})
        if factor != 1:
            raise BadInput(
                fact("errors_chains.unit_of_rate", step=common["name"], rate=row["rate"], unit=common["unit"] / unit)
            )
        upto = None
        if "upto" in row:
            upto, upto_unit = parse_amount(row["upto"])
            scale = bridge_factor(upto_unit, unit, {}) if upto_unit != unit else Fraction(1)
            if scale is None and upto_unit.dimension != unit.dimension:
                raise BadInput(
                    fact("errors_chains.unit_of_limit", step=common["name"], text=row["upto"], unit=str(unit))
                )
            upto = upto * (scale or 1)
        bands.append(RateBand(upto, rate))
    ends = [b.upto for b in bands[:-1]]
    if not bands or None in ends or bands[-1].upto is not None or ends != sorted(e for e in ends if e is not None):
        raise BadInput(fact("errors_chains.order_of_bands", step=common["name"]))
    return Band(**common, of=fields["of"], bands=tuple(bands), progressive=fields.get("progressive", True))


KIND = StepKind(compiled, frozenset({"of", "bands"}), frozenset({"progressive"}))
