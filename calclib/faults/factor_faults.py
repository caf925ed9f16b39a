"""The mistakes that can be made with the factors of a product."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Factor
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import Root
from calclib.chains.kinds.sums import Sum
from calclib.chains.step import Step
from calclib.faults import wording
from calclib.faults.fault import Fault
from calclib.quantity.equivalences import Equivalence, equivalences
from calclib.quantity.units import unit_text
from calclib.quantity.writing import write_number, write_unit


def factor_faults(
    factors: tuple[Factor, ...], step: Step, chain: Chain, conversion: bool
) -> Iterator[tuple[tuple[Factor, ...], Fault]]:
    """Yield each factor left out and turned upside down, a mixture's two numbers together.

    Args:
        factors: The factors of a product.
        step: The step in which it stands.
        chain: The compiled chain.
        conversion: Whether the step only converts a given from the form in which it is stated.
    """
    plain = [f for f in factors if not f.is_equivalence]
    if not conversion and len({f.group or f.name for f in plain}) > 1 and len({f.exponent for f in plain}) == 2:
        fault = Fault("divided the wrong way", step.name, "", wording.divided_the_wrong_way(step.says), Edit())
        yield tuple(f if f.is_equivalence else replace(f, exponent=-f.exponent) for f in factors), fault
        if len(plain) < len(factors):
            yield tuple(replace(f, exponent=-f.exponent) for f in factors), fault
        if len(plain) > 2:
            yield from ((turned, fault) for turned in _turned_pairs(factors, plain))
    groups = {f.group for f in factors if f.group}
    for group in sorted(groups):
        turned = tuple(replace(f, exponent=-f.exponent) if f.group == group else f for f in factors)
        words = wording.strength_inverted(value_says(group, chain), *_turned_over(group, turned, chain))
        yield turned, Fault("strength inverted", step.name, group, words, Edit())
        volume = f"{group}.volume"
        if len(plain) > 2 and any(f.name == volume and f.exponent > 0 for f in factors):
            turned = tuple(f if f.name == volume else replace(f, exponent=-f.exponent) for f in factors)
            words = wording.on_hand_by_ordered(step.says)
            yield turned, Fault("divided the wrong way", step.name, group, words, Edit())
        rest = tuple(f for f in factors if f.group != group)
        if any(not f.is_equivalence for f in rest):
            fault = Fault("left out", step.name, group, wording.left_out(value_says(group, chain)), Edit())
            yield rest, fault
            yield from _with_own_conversions([f for f in factors if f.group == group], factors, chain, 0, fault)
    for i, factor in enumerate(factors):
        others = factors[:i] + factors[i + 1 :]
        turned = (*factors[:i], replace(factor, exponent=-factor.exponent), *factors[i + 1 :])
        if factor.is_equivalence:
            yield from _conversion_faults(factor, others, turned, step, chain, conversion)
        elif factor.group:
            kind = "volume left out" if factor.name == f"{factor.group}.volume" else "amount left out"
            yield others, Fault(kind, step.name, factor.group, wording.left_out(_says(factor, chain)), Edit())
        elif not conversion and len(factors) > 1:
            says = _says(factor, chain)
            on_the_way = _is_on_the_way(factor, step, chain)
            above = on_the_way and factor.exponent > 0
            spare = above or (on_the_way and isinstance(step, Sum))
            fault = Fault("left out", step.name, factor.name, wording.left_out(says), Edit(), spare)
            yield others, fault
            yield from _with_own_conversions([factor], factors, chain, 0, fault)
            words = wording.inverted(says, divides=factor.exponent > 0)
            fault = Fault("inverted", step.name, factor.name, words, Edit(), above)
            yield turned, fault
            yield from _with_own_conversions([factor], factors, chain, -1, fault)


def _turned_pairs(factors: tuple[Factor, ...], plain: Sequence[Factor]) -> Iterator[tuple[Factor, ...]]:
    """The product with one of its quotients turned round: the time over the volume, times the drop factor."""
    for above in plain:
        for below in plain:
            if above.exponent > 0 > below.exponent and not (above.group and above.group == below.group):
                yield tuple(replace(f, exponent=-f.exponent) if f in (above, below) else f for f in factors)


def _is_on_the_way(factor: Factor, step: Step, chain: Chain) -> bool:
    """Whether a factor is a product of an earlier step, whose own factors are left out there, or stands in a sum.

    A term of a sum without one of its factors is often too small to be told from the term left out.
    """
    earlier = chain.by_name.get(factor.name)
    return factor.name not in chain.conversions and (
        isinstance(earlier, Product) or (earlier is not None and isinstance(step, Sum))
    )


def _with_own_conversions(
    changed: Sequence[Factor], factors: tuple[Factor, ...], chain: Chain, turn: int, fault: Fault
) -> Iterator[tuple[tuple[Factor, ...], Fault]]:
    """The same mistake by one who converts a value before using it: its own conversions go with it.

    `turn` is what the exponents are multiplied by: 0 leaves the factors out, -1 turns them upside down.
    """
    kept = [f for f in factors if not f.is_equivalence and f not in changed and f.name]
    elsewhere = {symbol for f in kept for symbol, _ in chain.names.unit(f.name).powers}
    here = {symbol for f in changed if f.name for symbol, _ in chain.names.unit(f.name).powers}
    near = [f for f in factors if f.is_equivalence and _symbols(f) & here]
    own = [f for f in near if not _symbols(f) & elsewhere]
    for with_it in dict.fromkeys((tuple(own), tuple(near))):
        if with_it:
            gone = (*changed, *with_it)
            turned = tuple(replace(f, exponent=f.exponent * turn) for f in gone) if turn else ()
            rest = tuple(f for f in factors if f not in gone)
            yield (*rest, *turned), fault if len(with_it) == len(own) else replace(fault, spare=True)


def _symbols(factor: Factor) -> set[str]:
    eq = equivalences()[factor.equivalence]
    return {eq.of, eq.per}


def _conversion_faults(
    factor: Factor, others: tuple[Factor, ...], turned: tuple[Factor, ...], step: Step, chain: Chain, conversion: bool
) -> Iterator[tuple[tuple[Factor, ...], Fault]]:
    units = conversion_units(equivalences()[factor.equivalence])
    if conversion and len(others) == 1:
        have = chain.names.unit(others[0].name)
        words = wording.used_unconverted(step.says, unit_words(str(have)), unit_words(str(step.unit)))
        if others[0].exponent < 0 and "dose" in str(have):
            turned_back = (replace(others[0], exponent=1),)
            words = wording.hours_as_doses(step.says)
            yield turned_back, Fault("used unconverted", step.name, factor.equivalence, words, Edit())
            return
        yield others, Fault("used unconverted", step.name, factor.equivalence, words, Edit())
    else:
        words = wording.conversion_left_out(units)
        yield others, Fault("conversion left out", step.name, factor.equivalence, words, Edit())
    words = wording.conversion_inverted(units)
    yield turned, Fault("conversion inverted", step.name, factor.equivalence, words, Edit())


_NAMES = {
    "s": "seconds",
    "min": "minutes",
    "h": "hours",
    "day": "days",
    "pt": "pints",
    "qt": "quarts",
    "gal": "gallons",
    "oz": "ounces",
    "oz_weight": "ounces",
    "lb": "pounds",
}


def conversion_units(eq: Equivalence) -> tuple[str, str]:
    """Return the two units of an equivalence in words: “minutes” and “hours”."""
    return unit_words(eq.of), unit_words(eq.per)


def unit_words(unit: str) -> str:
    """Return a unit as it stands in a sentence: “hours”, but “mg/kg/h”."""
    return _NAMES.get(unit) or write_unit(unit)


def _turned_over(group: str, turned: Sequence[Factor], chain: Chain) -> tuple[str, str]:
    """The two units of a strength as it stands when turned: what is above and what below."""
    amount, volume = f"{group}.amount", f"{group}.volume"
    units = tuple(write_unit(unit_text(chain.names.unit(name))) for name in (amount, volume))
    above = any(f.name == amount and f.exponent > 0 for f in turned)
    return (units[0], units[1]) if above else (units[1], units[0])


def factors_say(factors: Sequence[Factor], chain: Chain) -> str:
    """Return the words for a product, a phrase that takes an article; conversions and ones are left out."""
    phrases = (_says(f, chain) for f in factors if not f.is_equivalence)
    return " times the ".join(phrase for phrase in phrases if phrase) or "number"


def factors_given(factors: Sequence[Factor]) -> str:
    """Return the given that a product concerns first, "" if none."""
    return next((f.group or f.name for f in factors if f.name and not f.is_equivalence), "")


def _says(factor: Factor, chain: Chain) -> str:
    return f"factor {write_number(factor.number)}" if factor.number is not None else value_says(factor.name, chain)


def value_says(name: str, chain: Chain) -> str:
    """Return the words for a value."""
    says: Mapping[str, str] = chain.names.says
    return says.get(name, name.replace("_", " "))


def with_other_name(step: Product | Root | CountUp | Sum, name: str, other: str) -> Step:
    """Return a step with another value in the place of one.

    Args:
        step: The step.
        name: The name of the value that is replaced.
        other: The name of the one that is used in its place.
    """

    def renamed(factors: tuple[Factor, ...]) -> tuple[Factor, ...]:
        return tuple(replace(f, name=other) if f.name == name else f for f in factors)

    if isinstance(step, Sum):
        return replace(step, terms=tuple(replace(t, factors=renamed(t.factors)) for t in step.terms))
    return replace(step, factors=renamed(step.factors))
