"""Count up: whole vials, bags or doses that are needed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_product
from calclib.chains.factors import Env, Factor, Names, Value, bridged, factors_of, product_value
from calclib.chains.step import Step, StepKind
from calclib.quantity.enclosure import Enclosure


@dataclass(frozen=True)
class CountUp(Step):
    """A product rounded up to the next whole number.

    Args:
        factors: The product.
        down: Rounded down instead (a fault).
    """

    factors: tuple[Factor, ...]
    down: bool = False

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of the factors."""
        return tuple(f.name for f in self.factors if f.number is None)

    def evaluate(self, env: Env) -> Value:
        """Return the whole number."""
        value = product_value(self.factors, env)
        if isinstance(value, Enclosure):
            value = value.low
        return Fraction(value.__floor__() if self.down else value.__ceil__())


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> CountUp:
    """Return the step that `of` describes.

    Raises:
        BadInput: The expression can't be read or its units do not give the step's unit.
    """
    factors = factors_of(parse_product(fields["of"]), names)
    return CountUp(**common, factors=bridged(factors, names, common["unit"], common["name"]))


KIND = StepKind(compiled, frozenset({"of"}))
