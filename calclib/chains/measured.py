"""A chain run on quantities with units: conversions come from the unit registry, not from the chain's equivalences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import singledispatch
from typing import Any

from calclib.chains.chain import Chain
from calclib.chains.factors import EQUIVALENCE, Env, Factor
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.between import DAY, Between
from calclib.chains.kinds.choose import Choose
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import Clause, Decide, compared
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import RaisedTo, Root
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.step import Step
from calclib.quantity.enclosure import Enclosure, Exact, power, square_root
from calclib.quantity.registry import Quantity, pint_unit, registry
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import Unit, parse_unit

_MINUTE = parse_unit("min")
_DEGREES = {"degC": "delta_degC", "degF": "delta_degF"}

Known = Mapping[str, "Quantity | str"]


@dataclass(frozen=True)
class Scale:
    """The registry in which a chain is measured, by the equivalences that the chain uses."""

    use: tuple[tuple[str, Fraction], ...] = ()

    def quantity(self, value: Exact, unit: Unit) -> Quantity:
        """Return a value with a unit."""
        quantity: Quantity = registry(self.use).Quantity(value, self.unit(unit))
        return quantity

    def unit(self, unit: Unit) -> Any:
        """Return the registry's unit; temperatures are counted in degrees of their scale, whose zero the chain says."""
        powers = pint_unit(unit, self.use)._units.items()
        built = registry(self.use)
        return built.Unit(built.UnitsContainer({_DEGREES.get(name, name): power for name, power in powers}))

    def magnitude(self, quantity: Quantity, unit: Unit) -> Exact:
        """Return the number of a quantity in a unit; “per dose” need not be said where one dose is spoken of."""
        wanted = self.unit(unit)
        for doses in (0, 1, -1):
            spoken = quantity * self.quantity(Fraction(1), parse_unit("dose") ** doses)
            if spoken.check(wanted.dimensionality):
                number = spoken.to(wanted).magnitude
                return number if isinstance(number, Enclosure) else Fraction(number)
        raise ValueError(f"{quantity} does not measure what {unit} does")

    def product(self, factors: tuple[Factor, ...], known: Known) -> Quantity:
        """Return the product of all factors but the equivalences."""
        result = self.quantity(Fraction(1), Unit(()))
        for factor in factors:
            if factor.number is not None:
                result = result * factor.number**factor.exponent
            elif not factor.is_equivalence:
                value = known[factor.name]
                assert not isinstance(value, str)
                for _ in range(abs(factor.exponent)):
                    result = result * value if factor.exponent > 0 else result / value
        return result


def measured_values(chain: Chain, env: Env) -> dict[str, Exact | str]:
    """Return the value of every step, in the step's unit, computed with the unit registry.

    Args:
        chain: The chain.
        env: Values of givens, constants and equivalences by name.

    Raises:
        ValueError: A step's units do not give what it measures.
    """
    used = {n.removeprefix(EQUIVALENCE): v for n, v in env.items() if n.startswith(EQUIVALENCE)}
    scale = Scale(tuple(sorted((name, value) for name, value in used.items() if isinstance(value, Fraction))))
    known: dict[str, Quantity | str] = {}
    for name, value in env.items():
        if not name.startswith(EQUIVALENCE):
            known[name] = value if isinstance(value, str) else scale.quantity(value, chain.unit(name))
    result: dict[str, Exact | str] = {}
    for step in chain.steps:
        found = measured(step, known, chain, scale)
        if not isinstance(found, str) and step.name in chain.rounded:
            found = _rounded(found, step.unit, chain.rounded[step.name], scale)
        known[step.name] = found
        result[step.name] = found if isinstance(found, str) else scale.magnitude(found, step.unit)
    return result


@singledispatch
def measured(step: Step, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    """Return one step's value as a quantity, or the label of a choice.

    Args:
        step: The step.
        known: The quantities and texts that it uses.
        chain: The chain, for the units of names.
        scale: The registry.
    """
    raise NotImplementedError(f"no pint translation for {type(step).__name__}")


def _rounded(value: Quantity, unit: Unit, rule: RoundingRule, scale: Scale) -> Quantity:
    return scale.quantity(rule.rounded(scale.magnitude(value, unit)), unit)


def _number(known: Known, name: str, unit: Unit, scale: Scale) -> Exact:
    value = known[name]
    assert not isinstance(value, str)
    return scale.magnitude(value, unit)


@measured.register(Product)
def _(step: Product, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    return scale.product(step.factors, known)


@measured.register(Sum)
def _(step: Sum, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    total = scale.quantity(Fraction(0), step.unit)
    for term in step.terms:
        product = scale.product(term.factors, known)
        total = total + product if term.sign > 0 else total - product
    return total


@measured.register(Root)
def _(step: Root, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    under = scale.magnitude(scale.product(step.factors, known), step.unit**2)
    return scale.quantity(square_root(under), step.unit)


@measured.register(RaisedTo)
def _(step: RaisedTo, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    base = _number(known, step.base, chain.unit(step.base), scale)
    return scale.quantity(power(base, step.exponent), step.unit)


@measured.register(Limit)
def _(step: Limit, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    values = [scale.magnitude(scale.product(term, known), step.unit) for term in step.terms]
    return scale.quantity(min(values) if step.take == "least" else max(values), step.unit)


@measured.register(CountUp)
def _(step: CountUp, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    value = scale.magnitude(scale.product(step.factors, known), step.unit)
    low = value.low if isinstance(value, Enclosure) else value
    return scale.quantity(Fraction(low.__floor__() if step.down else low.__ceil__()), step.unit)


@measured.register(Round)
def _(step: Round, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    return scale.quantity(step.rule.rounded(_number(known, step.of, step.unit, scale)), step.unit)


@measured.register(Band)
def _(step: Band, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    unit = chain.unit(step.of)
    value = _number(known, step.of, unit, scale)
    rates = [scale.quantity(band.rate, step.unit / unit) for band in step.bands]
    if not step.progressive:
        whole: Quantity = scale.quantity(value, unit) * rates[step.reached(value)]
        return whole
    total = scale.quantity(Fraction(0), step.unit)
    below = Fraction(0)
    for band, rate in zip(step.bands, rates, strict=True):
        in_band = value - below if band.upto is None or value <= band.upto else band.upto - below
        total = total + scale.quantity(in_band, unit) * rate
        if band.upto is None or value <= band.upto:
            break
        below = band.upto
    return total


@measured.register(Lookup)
def _(step: Lookup, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    key = known[step.key]
    picked = key if isinstance(key, str) else scale.magnitude(key, chain.unit(step.key))
    return scale.quantity(step.rows[step.row_of(picked) + step.shift].value, step.unit)


@measured.register(Clock)
def _(step: Clock, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    minutes = scale.magnitude(scale.product(step.add, known), _MINUTE)
    start = _number(known, step.start, _MINUTE, scale)
    return scale.quantity(start + step.sign * minutes, _MINUTE)


@measured.register(Compare)
def _(step: Compare, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    unit = _unit_of(step.value, chain)
    value = scale.magnitude(scale.product(step.value, known), unit)
    if step.low and value < scale.magnitude(scale.product(step.low, known), unit):
        return step.choices["below"]
    if step.high and value > scale.magnitude(scale.product(step.high, known), unit):
        return step.choices["above"]
    return step.choices["within"]


@measured.register(Decide)
def _(step: Decide, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    rows = (one for one in step.findings if all(_holds(clause, known, chain, scale) for clause in one.clauses))
    return next(rows).label


def _holds(clause: Clause, known: Known, chain: Chain, scale: Scale) -> bool:
    if clause.words:
        return (known[clause.left[0].name] == known[clause.right[0].name]) == (clause.relation == "==")
    unit = _unit_of(clause.left, chain)
    left, right = (scale.magnitude(scale.product(side, known), unit) for side in (clause.left, clause.right))
    return bool(compared(left, clause.relation, right))


@measured.register(Choose)
def _(step: Choose, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    value = _number(known, step.of, chain.unit(step.of), scale)
    return next(option.label for option in step.options if option.upto is None or value <= option.upto)


@measured.register(Between)
def _(step: Between, known: Known, chain: Chain, scale: Scale) -> Quantity | str:
    start, end = (_number(known, name, _MINUTE, scale) for name in step.inputs)
    return scale.quantity(end - start if end >= start else end + DAY - start, _MINUTE)


def _unit_of(factors: tuple[Factor, ...], chain: Chain) -> Unit:
    result = Unit(())
    for factor in factors:
        if factor.number is None:
            result = result * chain.unit(factor.name) ** factor.exponent
    return result
