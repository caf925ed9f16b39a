"""The mistakes that can be made in each kind of step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import singledispatch

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Factor
from calclib.chains.kinds.band import Band, RateBand
from calclib.chains.kinds.between import DAY_NOT_TURNED, PLAIN_NUMBERS, Between
from calclib.chains.kinds.choice import Choice
from calclib.chains.kinds.choose import Choose
from calclib.chains.kinds.clock import DECIMAL_MINUTES, DECIMAL_MINUTES_CUT_OFF, Clock
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import Decide
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import Root
from calclib.chains.kinds.sums import Sum
from calclib.chains.kinds.wrong_band import WholeForRest
from calclib.chains.step import Step
from calclib.faults import wording
from calclib.faults.clock_faults import clock_faults
from calclib.faults.conversion_faults import conversion_faults
from calclib.faults.factor_faults import factor_faults, factors_given, factors_say, value_says, with_other_name
from calclib.faults.fault import Fault
from calclib.faults.misconceptions import misconceptions
from calclib.faults.rarer import rarer_faults
from calclib.quantity.rounding import RoundingBand, RoundingRule

TENTH = RoundingRule("early", "", (RoundingBand(None, Fraction(1, 10)),), "nearest", "half_up", "common_practice")
TEN = Fraction(10)
_TURNED = frozenset({"inverted", "strength inverted", "conversion inverted"})
MISCOUNTED = frozenset({"miscounted", "doses miscounted"})


@dataclass(frozen=True)
class StatedNumber:
    """What a fault needs to know of a stated number.

    Args:
        name: Its name in the chain.
        given: The given that it belongs to.
        says: Its words.
        mistaken: Values, relative to the right one, that it may be mistaken for, with their text.
        misread: What may be read instead from a drawn device, relative to the right value, with kind and direction.
        of: The words of the given that it belongs to, where they are not its own.
    """

    name: str
    given: str
    says: str
    mistaken: tuple[tuple[Fraction, str], ...] = ()
    misread: tuple[tuple[Fraction, str, str], ...] = ()
    of: str = ""


def static_faults(chain: Chain, stated: Sequence[StatedNumber]) -> tuple[Fault, ...]:
    """Return the mistakes that do not depend on the drawn values.

    Args:
        chain: The compiled chain.
        stated: The numbers of the stem.
    """
    says = {n.name: n.says for n in stated}
    found: list[Fault] = [*misconceptions(chain, says), *clock_faults(chain)]
    for step in chain.steps:
        found.extend(step_faults(step, chain))
        if isinstance(step, (Product, Root, CountUp, Sum)):
            found.extend(_swapped(step, chain, stated))
        if step is not chain.steps[-1] and not isinstance(step, (Between, Choice, Clock, Lookup, CountUp)):
            rounding = {step.name: TENTH}
            words = wording.rounded_early(step.says)
            found.append(Fault("rounded early", step.name, step.name, words, Edit(rounding=rounding)))
    for step in reversed(chain.steps):
        found.extend(_slips_of(step))
    for number in stated:
        if not _calculated_with(number.name, chain):
            continue
        for scale in (TEN, 1 / TEN):
            words = wording.point_slipped(number.says, large=scale > 1)
            found.append(Fault("decimal slip", "", number.given, words, Edit(scales={number.name: scale})))
    found.extend(conversion_faults(chain, says))
    found.extend(rarer_faults(chain, says))
    return tuple(sorted(found, key=lambda fault: fault.spare))


def _slips_of(step: Step) -> Iterator[Fault]:
    """The result of a step with its point one place off; in a product that is the slip of any of its numbers."""
    if isinstance(step, (Product, Sum, Root, Band, Limit)):
        for scale in (TEN, 1 / TEN):
            words = wording.point_slipped(step.says, large=scale > 1)
            yield Fault("decimal slip", step.name, "", words, Edit(scales={step.name: scale}))


def _calculated_with(name: str, chain: Chain) -> bool:
    """Whether a number enters a calculation; a number that only picks a row is read, not calculated with."""
    users = [step for step in chain.steps if name in step.inputs]
    if users and all(step.name in chain.conversions and _every_hours(step, name) for step in users):
        return False
    return any(not isinstance(step, (Lookup, Decide)) for step in users)


def _every_hours(step: Step, name: str) -> bool:
    return isinstance(step, Product) and any(f.name == name and f.exponent < 0 for f in step.factors)


def mistaken_values(stated: Sequence[StatedNumber]) -> tuple[Fault, ...]:
    """Return the faults of taking a value for one that it may be mistaken for, which depend on the draw."""
    taken = (
        Fault("wrong value", "", n.given, wording.wrong_value(n.of or n.says), Edit(scales={n.name: ratio}))
        for n in stated
        for ratio, _ in n.mistaken
    )
    read = (
        Fault(kind, "", n.given, wording.misread(kind, way), Edit(scales={n.name: ratio}), kind in MISCOUNTED)
        for n in stated
        for ratio, kind, way in n.misread
    )
    return (*taken, *read)


@singledispatch
def step_faults(step: Step, chain: Chain) -> Iterator[Fault]:
    """Yield the mistakes that can be made in a step of this kind."""
    yield from ()


@step_faults.register
def _(step: Product, chain: Chain) -> Iterator[Fault]:
    conversion = step.name in chain.conversions
    for factors, fault in factor_faults(step.factors, step, chain, conversion):
        yield _replacing(replace(step, factors=factors), fault)


@step_faults.register
def _(step: Root, chain: Chain) -> Iterator[Fault]:
    for factors, fault in factor_faults(step.factors, step, chain, False):
        yield _replacing(replace(step, factors=factors), fault)
    words = wording.root_forgotten(step.says)
    without = Product(step.name, step.says, step.unit, step.quantity, step.sources, step.factors)
    yield Fault("root forgotten", step.name, "", words, Edit(step=without))


@step_faults.register
def _(step: CountUp, chain: Chain) -> Iterator[Fault]:
    for factors, fault in factor_faults(step.factors, step, chain, False):
        yield _replacing(replace(step, factors=factors), fault)
    words = wording.rounded_down(step.says)
    yield Fault("rounded down", step.name, "", words, Edit(step=replace(step, down=True)))


@step_faults.register
def _(step: Sum, chain: Chain) -> Iterator[Fault]:
    for i, term in enumerate(step.terms):
        words = factors_say(term.factors, chain)
        others = step.terms[:i] + step.terms[i + 1 :]
        if others:
            said = wording.term_left_out(words, subtracted=term.sign < 0)
            fault = Fault("term left out", step.name, factors_given(term.factors), said, Edit())
            yield _replacing(replace(step, terms=others), fault)
        if i > 0:
            flipped = (*step.terms[:i], replace(term, sign=-term.sign), *step.terms[i + 1 :])
            said = wording.wrong_sign(words, added=term.sign < 0)
            fault = Fault("wrong sign", step.name, factors_given(term.factors), said, Edit())
            yield _replacing(replace(step, terms=flipped), fault)
        for factors, fault in factor_faults(term.factors, step, chain, False):
            if fault.kind == "left out" and len(_plain(term.factors)) == 1:
                continue
            terms = (*step.terms[:i], replace(term, factors=factors), *step.terms[i + 1 :])
            yield _replacing(replace(step, terms=terms), replace(fault, spare=fault.spare or fault.kind in _TURNED))


@step_faults.register
def _(step: Band, chain: Chain) -> Iterator[Fault]:
    if step.progressive and len(step.bands) > 1:
        says = value_says(step.of, chain)
        words = wording.last_rate_for_all(says)
        yield Fault("one rate for all", step.name, step.of, words, Edit(step=replace(step, progressive=False)))
        first = (RateBand(None, step.bands[0].rate),)
        words = wording.first_rate_for_all(says)
        yield Fault("first rate only", step.name, step.of, words, Edit(step=replace(step, bands=first)))
        words = wording.last_rate_for_rest(says)
        whole = WholeForRest(step.name, step.says, step.unit, step.quantity, step.sources, step)
        yield Fault("rest not taken", step.name, step.of, words, Edit(step=whole))
        for i in range(1, len(step.bands) - 1):
            shorter = (*step.bands[:i], RateBand(None, step.bands[i].rate))
            words = wording.last_rate_missed(says)
            yield Fault("first rate only", step.name, step.of, words, Edit(step=replace(step, bands=shorter)))
    else:
        for i in range(len(step.bands)):
            words = wording.other_band(value_says(step.of, chain))
            one = (RateBand(None, step.bands[i].rate),)
            yield Fault("wrong row", step.name, step.of, words, Edit(step=replace(step, bands=one)))


@step_faults.register
def _(step: Lookup, chain: Chain) -> Iterator[Fault]:
    for shift in (1, -1):
        words = wording.wrong_row(step.says, after=shift > 0)
        yield Fault("wrong row", step.name, step.key, words, Edit(step=replace(step, shift=shift)))


@step_faults.register
def _(step: Limit, chain: Chain) -> Iterator[Fault]:
    for term in step.terms:
        words = factors_say(term, chain)
        said = wording.limit_ignored(words, least=step.take == "least")
        fault = Fault("limit ignored", step.name, factors_given(term), said, Edit())
        yield _replacing(replace(step, terms=(term,)), fault)


@step_faults.register
def _(step: Clock, chain: Chain) -> Iterator[Fault]:
    words = wording.counted_backwards(forward=step.sign > 0)
    yield Fault("counted backwards", step.name, step.start, words, Edit(step=replace(step, sign=-step.sign)))
    for variant in (DECIMAL_MINUTES, DECIMAL_MINUTES_CUT_OFF):
        edit = Edit(step=replace(step, variant=variant))
        yield Fault("decimal hours", step.name, "", wording.DECIMAL_HOURS, edit)


@step_faults.register
def _(step: Between, chain: Chain) -> Iterator[Fault]:
    plain, backwards = (Edit(step=replace(step, variant=way)) for way in (PLAIN_NUMBERS, DAY_NOT_TURNED))
    yield Fault("clock as number", step.name, "", wording.CLOCK_AS_NUMBER, plain)
    yield Fault("counted backwards", step.name, step.start, wording.DAY_NOT_TURNED, backwards)


@step_faults.register
def _(step: Choose, chain: Chain) -> Iterator[Fault]:
    says = value_says(step.of, chain)
    for shift in (1, -1):
        words = wording.wrong_size(says, larger=shift > 0)
        yield Fault("wrong size", step.name, step.of, words, Edit(step=replace(step, shift=shift)))


def _replacing(step: Step, fault: Fault) -> Fault:
    return replace(fault, edit=Edit(step=step))


def _swapped(step: Product | Root | CountUp | Sum, chain: Chain, stated: Sequence[StatedNumber]) -> Iterator[Fault]:
    """Another number of the stem that measures the same, used in the place of a factor."""
    numbers = {n.name: n for n in stated}
    for name in dict.fromkeys(step.inputs):
        if name not in chain.names.units or (name not in numbers and name not in chain.conversions):
            continue
        for other in stated:
            if other.name == name or other.given == name.rpartition(".")[0] or other.name in step.inputs:
                continue
            if chain.names.units.get(other.name) != chain.names.units[name] or other.given == name:
                continue
            words = wording.wrong_given(value_says(name, chain), other.says)
            yield Fault("wrong given", step.name, name, words, Edit(step=with_other_name(step, name, other.name)))


def _plain(factors: Sequence[Factor]) -> list[Factor]:
    return [f for f in factors if not f.is_equivalence]
