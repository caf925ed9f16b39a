"""By what an edit multiplies the results of a chain, where products alone lead from what it changes to them.

Most mistakes are of this sort: they multiply what stands behind by the same number, so nothing need be run again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Factor, Value
from calclib.chains.kinds.product import Product


@dataclass(frozen=True)
class Multiple:
    """What one edit does to the results behind it.

    Args:
        factors: What it multiplies the value by that it changes: values of the chain and bare numbers.
        powers: The power with which that value goes into the results that products alone lead to.
        all_products: Whether products alone lead to every result behind it, so that no step can fail.
    """

    factors: tuple[Factor, ...]
    powers: Mapping[str, int]
    all_products: bool

    def ratio(self, done: Mapping[str, Value]) -> tuple[int, int] | None:
        """Return by what the value is multiplied, as two whole numbers above 0; None where it is no such number.

        Args:
            done: The values of a run of the chain.
        """
        top = bottom = 1
        for factor in self.factors:
            value = done[factor.name] if factor.number is None else factor.number
            if not isinstance(value, Fraction) or value.numerator <= 0:
                return None
            above, below = value.as_integer_ratio()
            exponent = factor.exponent
            if exponent < 0:
                above, below, exponent = below, above, -exponent
            top *= above**exponent
            bottom *= below**exponent
        return top, bottom


def raised(ratio: tuple[int, int], power: int) -> tuple[int, int]:
    """Return a ratio of two whole numbers raised to a whole power."""
    top, bottom = ratio if power > 0 else ratio[::-1]
    return (top, bottom) if power in (1, -1) else (top ** abs(power), bottom ** abs(power))


def multiplied(value: Fraction, ratio: tuple[int, int]) -> Fraction:
    """Return a value multiplied by a ratio of two whole numbers."""
    return Fraction(value.numerator * ratio[0], value.denominator * ratio[1])


def multiple_of(chain: Chain, edit: Edit) -> Multiple | None:
    """Return what an edit multiplies results by; None where it changes more than one value, or not by a multiple."""
    if edit.values or edit.rounding:
        return None
    if edit.step is None and len(edit.scales) == 1:
        ((name, scale),) = edit.scales.items()
        return Multiple((Factor("", 1, scale),), *_powers(chain, name)) if isinstance(scale, Fraction) else None
    if edit.step is None or edit.scales or edit.step.name in chain.rounded:
        return None
    right = chain.by_name.get(edit.step.name)
    if type(edit.step) is not Product or type(right) is not Product:
        return None
    return Multiple(_quotient(edit.step.factors, right.factors), *_powers(chain, right.name))


def _quotient(wrong: Iterable[Factor], right: Iterable[Factor]) -> tuple[Factor, ...]:
    """The factors of one product divided by another, but for those that both have."""
    exponents: dict[tuple[str, Fraction | None], int] = {}
    for factors, sign in ((wrong, 1), (right, -1)):
        for factor in factors:
            key = factor.name, factor.number
            exponents[key] = exponents.get(key, 0) + sign * factor.exponent
    return tuple(Factor(name, exponent, number) for (name, number), exponent in exponents.items() if exponent)


def _powers(chain: Chain, name: str) -> tuple[dict[str, int], bool]:
    """The power with which a value goes into each later result, up to the first that is not simply a product of it.

    What comes after that one is left out, even if it does not depend on it: a step that can't be done ends the run.
    The second value tells whether there is no such step.
    """
    powers = {name: 1}
    for step in chain.steps:
        if step.name == name or powers.keys().isdisjoint(step.inputs):
            continue
        if type(step) is not Product or step.name in chain.rounded:
            return powers, False
        powers[step.name] = sum(f.exponent * powers.get(f.name, 0) for f in step.factors if f.number is None)
    return powers, True
