"""Product: given values and equivalences multiplied and divided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calclib.chains.expression import parse_product
from calclib.chains.factors import Env, Factor, Names, Value, bridged, factors_of, product_value
from calclib.chains.step import Step, StepKind


@dataclass(frozen=True)
class Product(Step):
    """A product of factors in the step's unit."""

    factors: tuple[Factor, ...]

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of the factors."""
        return tuple(f.name for f in self.factors if f.number is None)

    def evaluate(self, env: Env) -> Value:
        """Return the product."""
        return product_value(self.factors, env)


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Product:
    """Return the step that `of` describes.

    Raises:
        BadInput: The expression can't be read or its units do not give the step's unit.
    """
    factors = factors_of(parse_product(fields["of"]), names)
    return Product(**common, factors=bridged(factors, names, common["unit"], common["name"]))


KIND = StepKind(compiled, frozenset({"of"}))
