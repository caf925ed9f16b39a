"""Limit: the least or the greatest of several values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calclib.chains.expression import parse_product
from calclib.chains.factors import Env, Factor, Names, Value, bridged, factors_of, product_value
from calclib.chains.step import Step, StepKind
from calclib.errors.messages import BadInput
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Limit(Step):
    """The least (or greatest) of some products, all in the step's unit."""

    take: str
    terms: tuple[tuple[Factor, ...], ...]

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of all factors."""
        return tuple(f.name for t in self.terms for f in t if f.number is None)

    def evaluate(self, env: Env) -> Value:
        """Return the least or greatest value."""
        values = [product_value(t, env) for t in self.terms]
        best = values[0]
        for value in values[1:]:
            if (value < best) == (self.take == "least"):
                best = value
        return best


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Limit:
    """Return the step that `take` and `of` describe.

    Raises:
        BadInput: `take` is neither least nor greatest, or units do not fit.
    """
    if fields.get("take") not in ("least", "greatest"):
        raise BadInput(fact("errors_chains.least_or_greatest", step=common["name"]))
    terms = tuple(
        bridged(factors_of(parse_product(of), names), names, common["unit"], common["name"]) for of in fields["of"]
    )
    return Limit(**common, take=fields["take"], terms=terms)


KIND = StepKind(compiled, frozenset({"of", "take"}))
