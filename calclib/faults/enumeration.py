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
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import Root
from calclib.chains.kinds.sums import Sum
from calclib.chains.kinds.wrong_band import WholeForRest
from calclib.chains.step import Step
from calclib.faults.clock_faults import clock_faults
from calclib.faults.conversion_faults import conversion_faults
from calclib.faults.factor_faults import factor_faults, factors_given, factors_say, value_says, with_other_name
from calclib.faults.fault import Fault
from calclib.faults.misconceptions import misconceptions
from calclib.faults.rarer import rarer_faults
from calclib.quantity.rounding import RoundingBand, RoundingRule
from calclib.quantity.writing import write_number

TENTH = RoundingRule("early", "", (RoundingBand(None, Fraction(1, 10)),), "nearest", "half_up", "common_practice")
TEN = Fraction(10)


@dataclass(frozen=True)
class StatedNumber:
    """What a fault needs to know of a stated number.

    Args:
        name: Its name in the chain.
        given: The given that it belongs to.
        says: Its words.
        mistaken: Values, relative to the right one, that it may be mistaken for, with their text.
        misread: What may be read instead from a drawn device, relative to the right value, with kind and words.
    """

    name: str
    given: str
    says: str
    mistaken: tuple[tuple[Fraction, str], ...] = ()
    misread: tuple[tuple[Fraction, str, str], ...] = ()


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
            words = f"rounding the {step.says} to a tenth before using it"
            found.append(Fault("rounded early", step.name, step.name, words, Edit(rounding=rounding)))
    for step in reversed(chain.steps):
        found.extend(_slips_of(step))
    for number in stated:
        if not _calculated_with(number.name, chain):
            continue
        for scale, word in ((TEN, "ten times too large"), (1 / TEN, "ten times too small")):
            words = f"a slipped decimal point, the {number.says} read {word}"
            found.append(Fault("decimal slip", "", number.given, words, Edit(scales={number.name: scale})))
    found.extend(conversion_faults(chain, says))
    found.extend(rarer_faults(chain, says))
    return tuple(sorted(found, key=lambda fault: fault.spare))


def _slips_of(step: Step) -> Iterator[Fault]:
    """The result of a step with its point one place off; in a product that is the slip of any of its numbers."""
    if isinstance(step, (Product, Sum, Root, Band, Limit)):
        for scale, word in ((TEN, "ten times too large"), (1 / TEN, "ten times too small")):
            words = f"a slipped decimal point, the {step.says} {word}"
            yield Fault("decimal slip", step.name, "", words, Edit(scales={step.name: scale}))


def _calculated_with(name: str, chain: Chain) -> bool:
    """Whether a number enters a calculation; a number that only picks a row is read, not calculated with."""
    users = [step for step in chain.steps if name in step.inputs]
    if users and all(step.name in chain.conversions and _every_hours(step, name) for step in users):
        return False
    return any(not isinstance(step, Lookup) for step in users)


def _every_hours(step: Step, name: str) -> bool:
    return isinstance(step, Product) and any(f.name == name and f.exponent < 0 for f in step.factors)


def mistaken_values(stated: Sequence[StatedNumber]) -> tuple[Fault, ...]:
    """Return the faults of taking a value for one that it may be mistaken for, which depend on the draw."""
    taken = (
        Fault("wrong value", "", n.given, f"using {text} as the {n.says}", Edit(scales={n.name: ratio}))
        for n in stated
        for ratio, text in n.mistaken
    )
    read = (
        Fault(kind, "", n.given, words, Edit(scales={n.name: ratio}), kind in ("miscounted", "doses miscounted"))
        for n in stated
        for ratio, kind, words in n.misread
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
    words = f"not taking the square root for the {step.says}"
    without = Product(step.name, step.says, step.unit, step.quantity, step.sources, step.factors)
    yield Fault("root forgotten", step.name, "", words, Edit(step=without))


@step_faults.register
def _(step: CountUp, chain: Chain) -> Iterator[Fault]:
    for factors, fault in factor_faults(step.factors, step, chain, False):
        yield _replacing(replace(step, factors=factors), fault)
    words = f"rounding the {step.says} down, although a part of one needs a whole one more"
    yield Fault("rounded down", step.name, "", words, Edit(step=replace(step, down=True)))


@step_faults.register
def _(step: Sum, chain: Chain) -> Iterator[Fault]:
    for i, term in enumerate(step.terms):
        words = factors_say(term.factors, chain)
        others = step.terms[:i] + step.terms[i + 1 :]
        if others:
            verb = "subtracting" if term.sign < 0 else "counting in"
            fault = Fault("term left out", step.name, factors_given(term.factors), f"not {verb} the {words}", Edit())
            yield _replacing(replace(step, terms=others), fault)
        if i > 0:
            flipped = (*step.terms[:i], replace(term, sign=-term.sign), *step.terms[i + 1 :])
            verb = "adding" if term.sign < 0 else "subtracting"
            fault = Fault("wrong sign", step.name, factors_given(term.factors), f"{verb} the {words}", Edit())
            yield _replacing(replace(step, terms=flipped), fault)
        for factors, fault in factor_faults(term.factors, step, chain, False):
            if fault.kind == "left out" and len(_plain(term.factors)) == 1:
                continue
            terms = (*step.terms[:i], replace(term, factors=factors), *step.terms[i + 1 :])
            yield _replacing(replace(step, terms=terms), replace(fault, spare=fault.spare or "inverted" in fault.kind))


@step_faults.register
def _(step: Band, chain: Chain) -> Iterator[Fault]:
    if step.progressive and len(step.bands) > 1:
        says = value_says(step.of, chain)
        words = f"using the rate of the last band for the whole {says}"
        yield Fault("one rate for all", step.name, step.of, words, Edit(step=replace(step, progressive=False)))
        first = (RateBand(None, step.bands[0].rate),)
        words = f"using the rate of the first band for the whole {says}"
        yield Fault("first rate only", step.name, step.of, words, Edit(step=replace(step, bands=first)))
        words = f"using the last rate for the whole {says}, where it is for the rest"
        whole = WholeForRest(step.name, step.says, step.unit, step.quantity, step.sources, step)
        yield Fault("rest not taken", step.name, step.of, words, Edit(step=whole))
        for i in range(1, len(step.bands) - 1):
            shorter = (*step.bands[:i], RateBand(None, step.bands[i].rate))
            words = f"not changing to the next band's rate above {write_number(step.bands[i].upto or Fraction(0))}"
            yield Fault("first rate only", step.name, step.of, words, Edit(step=replace(step, bands=shorter)))
    else:
        for i in range(len(step.bands)):
            words = f"using the rate of another band, {write_number(step.bands[i].rate)}"
            one = (RateBand(None, step.bands[i].rate),)
            yield Fault("wrong row", step.name, step.of, words, Edit(step=replace(step, bands=one)))


@step_faults.register
def _(step: Lookup, chain: Chain) -> Iterator[Fault]:
    for shift, word in ((1, "next"), (-1, "previous")):
        words = f"reading the {word} row of the table for the {step.says}"
        yield Fault("wrong row", step.name, step.key, words, Edit(step=replace(step, shift=shift)))


@step_faults.register
def _(step: Limit, chain: Chain) -> Iterator[Fault]:
    for term in step.terms:
        words = factors_say(term, chain)
        limit = "limit" if step.take == "least" else "least amount"
        fault = Fault(
            "limit ignored", step.name, factors_given(term), f"using the {words} although the {limit} applies", Edit()
        )
        yield _replacing(replace(step, terms=(term,)), fault)


@step_faults.register
def _(step: Clock, chain: Chain) -> Iterator[Fault]:
    words = "counting back from the start" if step.sign > 0 else "counting on from the end"
    yield Fault("counted backwards", step.name, step.start, words, Edit(step=replace(step, sign=-step.sign)))
    words = "reading the decimals of the hours as minutes (0.5 h is 30 min, not 50 min)"
    for variant in ("decimal minutes", "decimal minutes cut off"):
        yield Fault("decimal hours", step.name, "", words, Edit(step=replace(step, variant=variant)))


@step_faults.register
def _(step: Between, chain: Chain) -> Iterator[Fault]:
    words = "subtracting clock times as if they were plain numbers (an hour has 60 minutes, not 100)"
    yield Fault("clock as number", step.name, "", words, Edit(step=replace(step, variant=PLAIN_NUMBERS)))
    words = "counting from the later to the earlier time of one day, although midnight lies between"
    yield Fault("counted backwards", step.name, step.start, words, Edit(step=replace(step, variant=DAY_NOT_TURNED)))


@step_faults.register
def _(step: Choose, chain: Chain) -> Iterator[Fault]:
    says = value_says(step.of, chain)
    for shift, words in (
        (1, f"taking a larger one than the {says} needs"),
        (-1, f"taking one too small for the {says}"),
    ):
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
            words = f"using the {other.says} where the {value_says(name, chain)} belongs"
            yield Fault("wrong given", step.name, name, words, Edit(step=with_other_name(step, name, other.name)))


def _plain(factors: Sequence[Factor]) -> list[Factor]:
    return [f for f in factors if not f.is_equivalence]
