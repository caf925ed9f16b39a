"""Products of named values, bridged by equivalences where units differ."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from calclib.chains.expression import Power
from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, Exact
from calclib.quantity.equivalences import bridge, equivalences
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact

Value = Fraction | Enclosure | str
Env = Mapping[str, Value]

EQUIVALENCE = "eq:"


@dataclass(frozen=True)
class Factor:
    """One factor of a product.

    Args:
        name: The value's name; "eq:min_per_h" for an equivalence, "" for a bare number.
        exponent: Its whole exponent.
        number: The bare number.
        group: The mixture that this factor is a part of ("" if none): its amount and volume are turned together.
    """

    name: str
    exponent: int
    number: Fraction | None = None
    group: str = ""

    @property
    def is_equivalence(self) -> bool:
        """Whether the factor is a conversion rather than a value of the problem."""
        return self.name.startswith(EQUIVALENCE)

    @property
    def equivalence(self) -> str:
        """The name of the equivalence."""
        return self.name.removeprefix(EQUIVALENCE)


@dataclass(frozen=True)
class Names:
    """What is known of the values that a step may use.

    Args:
        units: The unit of each value.
        components: For a mixture stated as amount in volume, the names and exponents of its two numbers.
        says: The words for each value.
        texts: The values that are texts.
    """

    units: Mapping[str, Unit]
    components: Mapping[str, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    says: Mapping[str, str] = field(default_factory=dict)
    texts: frozenset[str] = frozenset()

    def unit(self, name: str) -> Unit:
        """Return the unit of a value.

        Raises:
            BadInput: There is no value of that name.
        """
        if name.startswith(EQUIVALENCE):
            return equivalences()[name.removeprefix(EQUIVALENCE)].unit
        try:
            return self.units[name]
        except KeyError:
            raise BadInput(
                fact("errors_chains.no_value", name=name, known=tuple(n for n in self.units if "." not in n))
            ) from None


def product_value(factors: Iterable[Factor], env: Env) -> Exact:
    """Return the value of a product.

    Raises:
        ZeroDivisionError: A factor in the denominator is 0.
    """
    top = bottom = 1
    enclosed: list[tuple[Enclosure, int]] = []
    for factor in factors:
        value = factor.number if factor.number is not None else env[factor.name]
        if not isinstance(value, Fraction):
            assert isinstance(value, Enclosure)
            enclosed.append((value, factor.exponent))
            continue
        above, below = value.as_integer_ratio()
        exponent = factor.exponent
        if exponent < 0:
            above, below, exponent = below, above, -exponent
        if exponent == 1:
            top *= above
            bottom *= below
        else:
            top *= above**exponent
            bottom *= below**exponent
    result: Exact = Fraction(top, bottom)
    for interval, exponent in enclosed:
        for _ in range(abs(exponent)):
            result = result * interval if exponent > 0 else result / interval
    return result


def factors_of(powers: Iterable[Power], names: Names) -> tuple[Factor, ...]:
    """Return the factors that an expression's powers name, mixtures taken apart into amount and volume."""
    factors: list[Factor] = []
    for power in powers:
        if power.number is not None:
            factors.append(Factor("", power.exponent, power.number))
            continue
        names.unit(power.name)
        parts = names.components.get(power.name)
        if parts is None:
            factors.append(Factor(power.name, power.exponent))
        else:
            factors.extend(Factor(n, e * power.exponent, group=power.name) for n, e in parts)
    return tuple(factors)


def unit_of(factors: Iterable[Factor], names: Names) -> Unit:
    """Return the unit of a product."""
    result = Unit(())
    for factor in factors:
        if factor.number is None:
            result = result * names.unit(factor.name) ** factor.exponent
    return result


@lru_cache(maxsize=4096)
def without_doses(unit: Unit) -> Unit:
    """Return the unit without “per dose”, which need not be said where one dose is spoken of."""
    return Unit(tuple((symbol, e) for symbol, e in unit.powers if symbol != "dose"))


def bridged(
    factors: tuple[Factor, ...], names: Names, unit: Unit, step: str, *, per_dose: bool = False
) -> tuple[Factor, ...]:
    """Return the factors with the equivalences that lead to the unit asked.

    Args:
        factors: The factors as the expression names them.
        names: Units of the values.
        unit: The unit that the step must have.
        step: The step's name, for the message.
        per_dose: Whether mg and mg/dose are taken as the same.

    Raises:
        BadInput: The product measures something else than the unit.
    """
    have = unit_of(factors, names)
    steps = bridge(have, unit)
    if steps is None and per_dose:
        steps = bridge(without_doses(have), without_doses(unit))
    if steps is None:
        found = str(have) or fact("errors_chains.pure_number")
        asked = str(unit) or fact("errors_chains.no_unit")
        why = units_differ(have, unit)
        raise BadInput(fact("errors_chains.unit_of_step", step=step, found=found, asked=asked, why=why))
    return (*factors, *(Factor(EQUIVALENCE + name, exponent) for name, exponent in steps))


def units_differ(have: Unit, want: Unit) -> Fact:
    """Return what may be the cause where a result is in another unit than it should be."""
    surplus = dict((have / want).dimension)
    if "volume" in surplus and any(d.startswith("drug") for d in surplus):
        return fact("errors_chains.concentration_left_out")
    if set(surplus) == {"body weight"}:
        return fact("errors_chains.body_weight_left_out")
    if set(surplus) == {"time"}:
        return fact("errors_chains.time_left_out")
    return fact("errors_chains.factor_missing")
