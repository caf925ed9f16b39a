"""Sum or difference of products that measure the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_sum
from calclib.chains.factors import Env, Factor, Names, Value, bridged, factors_of, product_value
from calclib.chains.step import Step, StepKind
from calclib.quantity.enclosure import Exact


@dataclass(frozen=True)
class SignedTerm:
    """One term of a sum: +1 or -1 and a product."""

    sign: int
    factors: tuple[Factor, ...]


@dataclass(frozen=True)
class Sum(Step):
    """A sum of signed terms, all in the step's unit."""

    terms: tuple[SignedTerm, ...]

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of all factors."""
        return tuple(f.name for t in self.terms for f in t.factors if f.number is None)

    def evaluate(self, env: Env) -> Value:
        """Return the sum."""
        total: Exact = Fraction(0)
        for term in self.terms:
            value = product_value(term.factors, env)
            total = total + value if term.sign > 0 else total - value
        return total


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Sum:
    """Return the step that `of` describes.

    Raises:
        BadInput: The expression can't be read, or a term measures something else than the step's unit.
    """
    terms = tuple(
        SignedTerm(t.sign, bridged(factors_of(t.powers, names), names, common["unit"], common["name"]))
        for t in parse_sum(fields["of"])
    )
    return Sum(**common, terms=terms)


KIND = StepKind(compiled, frozenset({"of"}))
