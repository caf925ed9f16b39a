"""What a set-up of one part may use, and what it should come to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from itertools import combinations, islice
from typing import Any

from calclib.answers.setups.bridges import bridge_of, pairs_of
from calclib.answers.setups.quantities import Exponents, Quantity, above_the_line
from calclib.chains.chain import Chain
from calclib.chains.factors import EQUIVALENCE, Factor, Value, product_value
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.rounding import Round
from calclib.errors.messages import BadInput
from calclib.items.item import Item
from calclib.items.solution import Solution, solution_of
from calclib.models.model import ItemModel
from calclib.quantity.enclosure import Undecided, ends
from calclib.quantity.equivalences import equivalences, exact_number
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import conversion_words
from calclib.wording.sentences import said

NO_UNIT = Unit(())
PERCENT = parse_unit("%")
PERCENT_CONSTANT = "percent_strength"
# Large enough that no two products of stated numbers agree at both points, small enough that no band is left.
_POINTS = (10007, 10009)
_MOST_DERIVED = 40

Point = Mapping[str, Fraction]


@dataclass(frozen=True)
class SetupProblem:
    """One part of an item as a set-up sees it.

    Args:
        solution: The solution of the item.
        part: The part's name.
        asks: The step that the set-up leads to; for a time of day the duration.
        unit: The unit of its value.
        accepted: For each conversion the values that count as right, the item's first.
        own: The student's own answers to earlier parts, which a set-up may use.
    """

    solution: Solution
    part: str
    asks: str
    unit: Unit
    accepted: Mapping[str, tuple[Fraction, ...]]
    own: Mapping[str, Fraction] = field(default_factory=dict)

    @property
    def chain(self) -> Chain:
        """The compiled chain."""
        return self.solution.chain

    @property
    def values(self) -> Mapping[str, Value]:
        """The values of the chain."""
        return self.solution.values

    def conversion_value(self, name: str) -> Fraction:
        """The value of a conversion that the item uses."""
        found = self.accepted.get(name)
        return found[0] if found else equivalences()[name].value

    def factor(self, have: Unit, want: Unit) -> Fraction | None:
        """The number that converts from one unit to another by the item's conversions."""
        key = (have, want)
        if key not in self.remembered:
            steps = bridge_of(have, want)
            result: Fraction | None = None if steps is None else Fraction(1)
            for name, exponent in steps or ():
                result = (result or 1) * self.conversion_value(name) ** exponent
            self.remembered[key] = result
        return self.remembered[key]  # type: ignore[no-any-return]

    def conversion_text(self, name: str) -> str:
        """A conversion as it is taught."""
        return conversion_words(replace(equivalences()[name], value=self.conversion_value(name)))

    # What the numbers are made of

    def made_of(self, name: str) -> dict[str, int]:
        """Exponents of the numbers of the stem in a value; what is no product of them counts as one number."""
        step = self.chain.by_name.get(name)
        if isinstance(step, Product):
            return self._product(step.factors)
        if isinstance(step, Limit):
            for term in step.terms:
                if product_value(term, self.values) == self.values[name]:
                    return self._product(term)
        if name == self.asks and isinstance(step, CountUp):
            return self._product(step.factors)
        if name == self.asks and isinstance(step, Round):
            return self.made_of(step.of)
        return {name: 1}

    def _product(self, factors: Sequence[Factor]) -> dict[str, int]:
        total: dict[str, int] = {}
        for factor in factors:
            if factor.is_equivalence:
                continue
            inner = {f"#{factor.number}": 1} if factor.number is not None else self.made_of(factor.name)
            for name, exponent in inner.items():
                total[name] = total.get(name, 0) + exponent * factor.exponent
        return {name: e for name, e in total.items() if e}

    @cached_property
    def expected(self) -> dict[str, int]:
        """Exponents of the numbers of the stem in what is asked."""
        return self.made_of(self.asks)

    @cached_property
    def ones(self) -> frozenset[str]:
        """Constants of 1, such as 1 dose, which nobody needs to write."""
        return frozenset(name for name in self.expected if self.values.get(name) == 1 and not self.text_of(name))

    @cached_property
    def needed(self) -> frozenset[str]:
        """The names of all values on which what is asked depends."""
        numbers = (name for q in self.quantities for name in q.exponents if name[0] == "#" or " above " in name)
        return self.chain.ancestors(self.asks) | frozenset(self.expected) | frozenset(numbers)

    def says(self, name: str) -> str:
        """The words for a number."""
        if name.startswith("#"):
            return said("setup.factor", number=name[1:])
        found: str = self.chain.names.says.get(name, name.replace("_", " "))
        step = self.chain.by_name.get(name)
        return step.says if step is not None else found

    @cached_property
    def texts(self) -> Mapping[str, str]:
        """How the stem states each given."""
        return {given.name: given.text for given in self.solution.item.givens}

    def text_of(self, name: str) -> str:
        """How the problem states a number: “15 gtt/mL”; "" for what it does not state."""
        if name in self.texts:
            return self.texts[name]
        given = name.rpartition(".")[0]
        return self.texts.get(given, "") if name.endswith(".stated") else ""

    @cached_property
    def quantities(self) -> tuple[Quantity, ...]:
        """All values that a set-up may use without explaining them, stated ones first."""
        return tuple(self._quantities())

    def _quantities(self) -> Iterator[Quantity]:
        yield from self._numbers()
        yield from self._mixtures()
        yield from self._results()
        for step in self.chain.steps:
            if isinstance(step, Band):
                yield from self._band(step)
            for factor in step.factors if isinstance(step, (Product, CountUp)) else ():
                if factor.number is not None:
                    says = f"factor {factor.number}"
                    yield Quantity({f"#{factor.number}": 1}, factor.number, NO_UNIT, says, "", False)

    @cached_property
    def derived(self) -> tuple[Quantity, ...]:
        """What two or three numbers of the stem make on the way, such as mL in an hour before drops in a minute."""
        names = [n for n in self.expected if n in self.texts or n.rpartition(".")[0] in self.texts]
        groups = (group for size in (2, 3) for group in combinations(names, size) if len(group) < len(self.expected))
        return tuple(self._derived(group) for group in islice(groups, _MOST_DERIVED))

    def _derived(self, group: tuple[str, ...]) -> Quantity:
        value, unit = Fraction(1), NO_UNIT
        exponents = {name: self.expected[name] for name in group}
        for name, exponent in exponents.items():
            one = self.values[name]
            assert isinstance(one, Fraction)
            value, unit = value * one**exponent, unit * self.chain.unit(name) ** exponent
        return Quantity(exponents, value, unit, " and the ".join(map(self.says, group)), "", False, derived=True)

    def _numbers(self) -> Iterator[Quantity]:
        """Numbers of the stem and constants."""
        for name, value in self.values.items():
            if name.startswith(EQUIVALENCE) or not isinstance(value, Fraction) or name in self.chain.by_name:
                continue
            unit = self.chain.names.unit(name)
            stated = name in self.texts or name.rpartition(".")[0] in self.texts
            says, text = self.says(name), self.text_of(name)
            yield Quantity({name: 1}, value, unit, says, text, stated)
            if not stated and value:
                yield Quantity({name: -1}, 1 / value, unit**-1, says, "", False)
            if unit == PERCENT and PERCENT_CONSTANT in self.values:
                meaning = self.chain.names.unit(PERCENT_CONSTANT) * PERCENT
                yield Quantity({name: 1}, value, above_the_line(meaning), says, text, stated)
                yield Quantity(
                    {PERCENT_CONSTANT: -1}, Fraction(100), above_the_line(meaning**-1), "volume", "100 mL", False
                )

    def _mixtures(self) -> Iterator[Quantity]:
        """Strengths stated as amount in volume, as a whole."""
        for group, parts in self.chain.names.components.items():
            amount = product_value([Factor(n, e) for n, e in parts], self.values)
            unit = NO_UNIT
            for n, e in parts:
                unit = unit * self.chain.names.unit(n) ** e
            if isinstance(amount, Fraction):
                yield Quantity(dict(parts), amount, unit, self.says(group), self.texts.get(group, ""), True)

    def _results(self) -> Iterator[Quantity]:
        """Converted givens and results of earlier steps, exact and as earlier answers round them."""
        for step in self.chain.steps:
            value = self.values[step.name]
            if isinstance(step, Compare) or isinstance(value, str) or step.name == self.asks:
                continue
            known = step.name in self.chain.conversions or step.name in self._earlier
            if value == self.values[self.asks] and not known:
                continue
            made = self.made_of(step.name)
            yield Quantity(made, ends(value)[0], step.unit, step.says, "", False)
            for rounded, unit in self._earlier.get(step.name, ()):
                yield Quantity(made, rounded, unit, step.says, "", False)

    @cached_property
    def _earlier(self) -> Mapping[str, list[tuple[Fraction, Unit]]]:
        """The keys of earlier parts, by the step that they ask."""
        result: dict[str, list[tuple[Fraction, Unit]]] = {}
        for part in self.solution.item.parts:
            if part.name == self.part:
                break
            if part.key is not None and part.kind == "quantity":
                step, unit = self.solution.asks[part.name], self.solution.units[part.name]
                result.setdefault(step, []).append((part.key, unit))
                if part.name in self.own:
                    result[step].append((self.own[part.name], unit))
        return result

    def _band(self, step: Band) -> Iterator[Quantity]:
        """The rates and limits of bands, and what the input has above each limit."""
        of_unit = self.chain.unit(step.of)
        value = self.values[step.of]
        below = Fraction(0)
        for band in step.bands:
            rate = step.unit / of_unit
            yield Quantity({f"#rate {band.rate}": 1}, band.rate, rate, said("setup.band_rate"), "", False)
            if isinstance(value, Fraction) and 0 < value - below < value:
                name = f"{step.of} above {below}"
                yield Quantity({name: 1}, value - below, of_unit, said("setup.part_above", limit=str(below)), "", False)
            if band.upto is not None:
                width = band.upto - below
                for number in dict.fromkeys((width, band.upto)):
                    yield Quantity({f"#{number}": 1}, number, of_unit, said("setup.band_limit"), "", False)
                below = band.upto

    # Conversions between the units that occur

    @cached_property
    def symbols(self) -> frozenset[str]:
        """The unit symbols that occur in the problem."""
        units = (*(q.unit for q in self.quantities), self.unit)
        return frozenset(symbol for unit in units for symbol, _ in unit.powers)

    @cached_property
    def remembered(self) -> dict[object, Any]:
        """What was found of this problem before, by what was asked."""
        return {}

    def conversions_of(self, symbols: frozenset[str]) -> tuple[tuple[Fraction, str, str, Exponents], ...]:
        """What 1 of a unit makes in another, for these and the problem's unit symbols: value, of, per, exponents."""
        found = self.remembered.get(symbols)
        if found is None:
            found = self.remembered[symbols] = tuple(self._conversions(tuple(sorted(symbols | self.symbols))))
        return found

    @cached_property
    def bare_values(self) -> tuple[tuple[Quantity, Unit, Fraction], ...]:
        """Each quantity in its own unit and in others of the problem, with the scale: 8 h is 480 min."""
        return tuple((q, unit, scale) for q in self.quantities for unit, scale in self._other_units(q.unit))

    def _other_units(self, unit: Unit) -> Iterator[tuple[Unit, Fraction]]:
        yield unit, Fraction(1)
        for number, of, per, _ in self.conversions_of(frozenset()):
            for symbol, exponent in unit.powers:
                if abs(exponent) == 1 and symbol == per:
                    yield unit * Unit.of([(of, exponent), (per, -exponent)]), number**exponent
                elif abs(exponent) == 1 and symbol == of:
                    yield unit * Unit.of([(per, exponent), (of, -exponent)]), number**-exponent

    def _conversions(self, symbols: tuple[str, ...]) -> Iterator[tuple[Fraction, str, str, Exponents]]:
        for of, per, steps in pairs_of(symbols):
            for value in self._values_of(steps):
                if value > 1:
                    yield value, of, per, dict(steps)

    def _values_of(self, steps: tuple[tuple[str, int], ...]) -> Iterator[Fraction]:
        """The value of a conversion by the item, and by each other value that counts as right."""
        usual = Fraction(1)
        for name, exponent in steps:
            usual *= self.conversion_value(name) ** exponent
        yield usual
        for name, exponent in steps:
            for other in self.accepted.get(name, ())[1:]:
                yield usual * (other / self.conversion_value(name)) ** exponent

    # Points at which a set-up is compared with the chain

    @cached_property
    def points(self) -> tuple[tuple[Point, Fraction], ...]:
        """Values of all numbers, and of what is asked in the unit asked, at the draw and near it."""
        found = [self._point(0, 1), *(self._point(prime, 1) for prime in _POINTS)]
        return tuple(p for p in found if p is not None)

    @cached_property
    def points_below(self) -> tuple[tuple[Point, Fraction], ...]:
        """The same with points on the other side, for a draw that stands on the limit of a band."""
        found = [self._point(0, 1), *(self._point(prime, -1) for prime in _POINTS)]
        return tuple(p for p in found if p is not None)

    def _point(self, prime: int, way: int) -> tuple[Point, Fraction] | None:
        chain = _without_last_rounding(self.chain, self.asks)
        env: dict[str, Value] = {n: v for n, v in self.values.items() if n not in chain.by_name}
        if prime:
            for place, name in enumerate(env):
                value = env[name]
                stated = name in self.texts or name.rpartition(".")[0] in self.texts
                if stated and isinstance(value, Fraction):
                    env[name] = value * (1 + Fraction(way, prime * (3 + 7 * place)))
        try:
            done = chain.evaluate(env, rounding={})
        except (ZeroDivisionError, Undecided, BadInput):
            return None
        asked = done[self.asks]
        scale = self.factor(self.chain.unit(self.asks), self.unit)
        if isinstance(asked, str) or scale is None:
            return None
        numbers = {name: ends(value)[0] for name, value in done.items() if not isinstance(value, str)}
        for step in chain.steps:
            if isinstance(step, Band):
                below = Fraction(0)
                for band in step.bands:
                    numbers[f"{step.of} above {below}"] = numbers[step.of] - below
                    below = band.upto or below
        return numbers, ends(asked)[0] * scale


def _without_last_rounding(chain: Chain, asks: str) -> Chain:
    """The chain with the asked step before it is rounded: a set-up shows the calculation."""
    step = chain.by_name[asks]
    if isinstance(step, CountUp):
        factors = step.factors
    elif isinstance(step, Round):
        factors = (Factor(step.of, 1),)
    else:
        return chain
    plain = Product(step.name, step.says, step.unit, "", step.sources, factors)
    return replace(chain, steps=tuple(plain if s.name == asks else s for s in chain.steps), rounded={})


def problem_of(
    item: Item, model: ItemModel, policy: RoundingPolicy, part_name: str, own: Mapping[str, Fraction] | None = None
) -> SetupProblem | None:
    """Return what a set-up of a part may use, the student's own earlier answers too; None where it makes no sense.

    Raises:
        BadInput: There is no such part, or model and item do not belong together.
    """
    part = item.part(part_name)
    if part.kind == "choice":
        return None
    solution = solution_of(item, model, policy)
    asks, unit = solution.asks[part_name], solution.units[part_name]
    step = solution.chain.by_name[asks]
    if isinstance(step, Clock):
        asks = next(f.name for f in step.add if not f.is_equivalence)
        unit = solution.chain.unit(asks)
    accepted: dict[str, tuple[Fraction, ...]] = {}
    for name, text in item.equivalences.items():
        value = Fraction(text)
        others = tuple(exact_number(t) for t in policy.equivalences.get(name, ()))
        printed = name in model.states or conversion_words(replace(equivalences()[name], value=value)) in item.stem
        accepted[name] = (value,) if printed else (value, *(o for o in others if o != value))
    return SetupProblem(solution, part_name, asks, unit, accepted, own or {})
