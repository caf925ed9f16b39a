"""Where roundings on the way to an answer lead: what a number must follow from to be called rounded on the way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import combinations

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import EQUIVALENCE, Value, product_value
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.rounding import Round
from calclib.errors.messages import CalclibError
from calclib.faults.factor_faults import factors_say
from calclib.items.part_units import asked_value
from calclib.items.recorded.way_values import Manner, WayValue
from calclib.models.identity import ByIdentity
from calclib.models.model import PartModel
from calclib.quantity.enclosure import Exact, Undecided, ends
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import Mode, RoundingBand, RoundingRule
from calclib.quantity.writing import conversion_words

# Decimals to which students round on the way; a result that this changes by more than a twentieth is another number.
MOST_DECIMALS = 3
NEAREST_PARTS = 20
MOST_FACTORS = 5
_MANNERS: tuple[tuple[Mode, Manner], ...] = (("nearest", "rounded"), ("down", "cut off"))
_BANDS = [(RoundingBand(None, Fraction(1, 10**n)),) for n in range(MOST_DECIMALS + 1)]
_RULES = tuple(
    (RoundingRule("on_the_way", "", band, mode, "half_up", "common_practice"), how, decimals)
    for decimals, band in enumerate(_BANDS)
    for mode, how in _MANNERS
)
Rounded = tuple[Fraction, Manner, int]


def ways_of(
    part: PartModel, chain: Chain, done: Mapping[str, Value], entered: Mapping[str, Fraction]
) -> Iterator[WayValue]:
    """Yield the values to which roundings on the way lead, each once, those of a single result first.

    Args:
        part: The part that asks for an amount.
        chain: The compiled chain.
        done: All values of the chain.
        entered: By the step that they ask, the rounded answers of earlier parts, in the unit of the step.
    """
    ways = _Ways(part, chain, done, entered)
    seen = {ways.right}
    for way in ways.all():
        if way.value not in seen and _near(way.value, ways.right):
            seen.add(way.value)
            yield way


class _Ways:
    """The ways of one part."""

    def __init__(
        self, part: PartModel, chain: Chain, done: Mapping[str, Value], entered: Mapping[str, Fraction]
    ) -> None:
        self.part, self.chain, self.done, self.entered = part, chain, done, entered
        self.right = asked_value(done, part, chain)
        asked = chain.by_name[part.asks]
        # What is rounded last is the answer itself.
        self.last = asked.of if isinstance(asked, Round) else part.asks
        self.behind = chain.ancestors(self.last)
        self.powers = _powers(ByIdentity(chain), self.last)
        self.steps = [s for s in chain.steps if s.name in self.behind and not isinstance(s, Clock)]

    def all(self) -> Iterator[WayValue]:
        for step in self.steps:
            value = self.done[step.name]
            if step.name != self.last and not isinstance(value, str):
                if step.name in self.entered:
                    yield from self.reached(step.name, value, self.entered[step.name], step.says)
                for rounded, manner, decimals in _roundings(value):
                    yield from self.reached(step.name, value, rounded, step.says, manner, decimals)
            if isinstance(step, Product):
                yield from self.within(step)
        yield from self.by_other_conversions()
        yield from self.every_result()

    def reached(
        self,
        name: str,
        value: Exact,
        other: Fraction,
        says: str,
        manner: Manner | None = None,
        decimals: int | None = None,
    ) -> Iterator[WayValue]:
        """What follows where a value of the chain is taken for another."""
        power = self.powers.get(name)
        if power is not None and isinstance(value, Fraction):
            yield WayValue(self.multiplied(other / value, power), says, manner, decimals)
        else:
            edit = Edit(scales={name: other / value}) if name == self.last else Edit(values={name: other})
            yield from self.evaluated(edit, says, manner, decimals)

    def multiplied(self, ratio: Fraction, power: int) -> Exact:
        """The answer where a value that goes into it with a power is multiplied."""
        if power == 1:
            return self.right * ratio
        return self.right * ratio**power if power else self.right

    def evaluated(self, edit: Edit, says: str, manner: Manner | None, decimals: int | None) -> Iterator[WayValue]:
        try:
            value = asked_value(self.chain.reevaluate(self.done, edit), self.part, self.chain)
        except (ZeroDivisionError, CalclibError):  # such as a value for which a table has no row
            return
        yield WayValue(value, says, manner, decimals)

    def within(self, step: Product) -> Iterator[WayValue]:
        """What follows where a part of a product is worked out and rounded before the rest."""
        factors, value, power = step.factors, self.done[step.name], self.powers.get(step.name)
        if not 2 < len(factors) <= MOST_FACTORS or not isinstance(value, Fraction):
            return
        for size in range(2, len(factors)):
            for some in combinations(factors, size):
                first = product_value(some, self.done)
                roundings = _roundings(first)
                says = factors_say(some, self.chain) if roundings else ""
                for rounded, manner, decimals in roundings:
                    if power is not None and isinstance(first, Fraction):
                        yield WayValue(self.multiplied(rounded / first, power), says, manner, decimals)
                        continue
                    other = value * rounded / first
                    assert isinstance(other, Fraction)
                    yield from self.reached(step.name, value, other, says, manner, decimals)

    def by_other_conversions(self) -> Iterator[WayValue]:
        """What follows by a published value of a conversion of which the key's is a rounding, or the reverse."""
        for name in self.chain.equivalences:
            key, known = EQUIVALENCE + name, equivalences()[name]
            used = self.done.get(key)
            if known.definition or key not in self.behind or not isinstance(used, Fraction):
                continue
            for value in (known.value, *(variant for variant, _ in known.variants)):
                if value != used and (_is_rounded(value, used) or _is_rounded(used, value)):
                    yield from self.reached(key, used, value, conversion_words(replace(known, value=value)))

    def every_result(self) -> Iterator[WayValue]:
        """What follows where every result on the way is rounded alike."""
        results = {s.name: self.done[s.name] for s in self.steps if s.name != self.last}
        for rule, manner, decimals in _RULES:
            names = [name for name, value in results.items() if not isinstance(value, str) and _cut(value, decimals)]
            if len(names) > 1:
                edit = Edit(rounding=dict.fromkeys(names, rule))
                yield from self.evaluated(edit, "results on the way", manner, decimals)


@lru_cache(maxsize=4096)
def _powers(chain_key: ByIdentity[Chain], asked: str) -> Mapping[str, int | None]:
    """The power with which each value goes into a step by products alone; None where another kind of step uses it."""
    chain = chain_key.record
    powers: dict[str, int | None] = {asked: 1}
    for step in reversed(chain.steps):
        if step.name not in powers:
            continue
        power = powers[step.name]
        if power is None or not isinstance(step, Product) or step.name in chain.rounded:
            powers.update(dict.fromkeys(step.inputs))
            continue
        for factor in step.factors:
            before = powers.get(factor.name, 0)
            powers[factor.name] = None if before is None else before + power * factor.exponent
    return powers


@lru_cache(maxsize=8192)
def _roundings(value: Exact) -> tuple[Rounded, ...]:
    """The values to which a result may be rounded or cut off, but for itself, the coarsest first."""
    found: dict[Fraction, Rounded] = {}
    for rule, manner, decimals in _RULES:
        if not _cut(value, decimals):
            break
        try:
            rounded = rule.rounded(value)
        except Undecided:
            continue
        if rounded and _near(rounded, value):
            found.setdefault(rounded, (rounded, manner, decimals))
    return tuple(found.values())


def _cut(value: Exact, decimals: int) -> bool:
    """Whether a value has more decimals than these."""
    return not isinstance(value, Fraction) or 10**decimals % value.denominator != 0


def _is_rounded(value: Fraction, exact: Fraction) -> bool:
    return any(value == rounded for rounded, _, _ in _roundings(exact))


def _near(value: Exact, right: Exact) -> bool:
    """Whether two values differ by a twentieth at the most; whole numbers, since this runs often."""
    one, other = ends(value)[0], ends(right)[0]
    top, below = other.numerator * one.denominator, other.denominator * one.denominator
    apart = abs(one.numerator * other.denominator - top)
    return below > 0 and apart * NEAREST_PARTS <= abs(top)
