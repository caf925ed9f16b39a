"""Root and power: square root of a product, or a value raised to a fraction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_product
from calclib.chains.factors import Env, Factor, Names, Value, bridged, factors_of, product_value
from calclib.chains.step import Step, StepKind
from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import power, square_root
from calclib.quantity.equivalences import exact_number
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Root(Step):
    """The square root of a product; an enclosure where it is irrational."""

    factors: tuple[Factor, ...]

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of the factors under the root."""
        return tuple(f.name for f in self.factors if f.number is None)

    def evaluate(self, env: Env) -> Value:
        """Return the root."""
        return square_root(product_value(self.factors, env))


@dataclass(frozen=True)
class RaisedTo(Step):
    """A value, in the unit that the formula names, raised to a fraction."""

    base: str
    exponent: Fraction

    @property
    def inputs(self) -> tuple[str, ...]:
        """The name of the base."""
        return (self.base,)

    def evaluate(self, env: Env) -> Value:
        """Return the power."""
        value = env[self.base]
        assert not isinstance(value, str)
        return power(value, self.exponent)


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Root:
    """Return the root that `of` describes; the product under it has the square of the step's unit.

    Raises:
        BadInput: The expression can't be read or its units do not fit.
    """
    factors = factors_of(parse_product(fields["of"]), names)
    return Root(**common, factors=bridged(factors, names, common["unit"] ** 2, common["name"]))


def compiled_power(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> RaisedTo:
    """Return the power that `of` and `exponent` describe.

    Raises:
        BadInput: The base is unknown or the exponent is no number.
    """
    names.unit(fields["of"])
    try:
        exponent = exact_number(str(fields["exponent"]))
    except (ValueError, ZeroDivisionError):
        raise BadInput(fact("errors_chains.exponent", step=common["name"])) from None
    return RaisedTo(**common, base=fields["of"], exponent=exponent)


KIND = StepKind(compiled, frozenset({"of"}))
POWER = StepKind(compiled_power, frozenset({"of", "exponent"}))
