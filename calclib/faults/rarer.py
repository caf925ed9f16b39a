"""Mistakes that are named where they fit, although no draw is refused for their sake.

They are those of students who go another way than the steps of an item model: who use a value in the unit in which it
is stated, work in hours where a step gives minutes, or take two terms of a sum together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import EQUIVALENCE, Factor
from calclib.chains.kinds.choice import Choice
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decimal_hours import DecimalHours
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import Root
from calclib.chains.kinds.sums import SignedTerm, Sum
from calclib.chains.step import Step
from calclib.faults import wording
from calclib.faults.factor_faults import factor_faults, factors_given, factors_say, value_says, with_other_name
from calclib.faults.fault import Fault
from calclib.quantity.units import parse_unit

MINUTES = parse_unit("min")
TEN = Fraction(10)


def rarer_faults(chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """Yield the mistakes, each marked as spare.

    Args:
        chain: The compiled chain.
        stated: The words of the numbers of the stem by name.
    """
    for step in chain.steps:
        for fault in (
            *_in_step(step, chain),
            *_given_for_result(step, chain, stated),
            *_otherwise(step, chain, stated),
            *_idle(step, chain, stated),
        ):
            yield replace(fault, spare=True)
    for fault in _constant_slips(chain, stated):
        yield replace(fault, spare=True)


def _in_step(step: Step, chain: Chain) -> Iterator[Fault]:
    if step.name in chain.conversions:
        return
    if isinstance(step, (Product, Root, CountUp)):
        for factors in _as_stated(step.factors, chain):
            for changed, fault in factor_faults(factors, step, chain, False):
                yield replace(fault, edit=Edit(step=replace(step, factors=changed)))
        for changed, fault in (*_turned_with_conversions(step), *_pairs_left_out(step, chain)):
            yield replace(fault, edit=Edit(step=replace(step, factors=changed)))
    if isinstance(step, Sum):
        yield from _in_sum(step, chain)
    if isinstance(step, Clock):
        words = wording.term_left_out(factors_say(step.add, chain), subtracted=step.sign < 0)
        none = replace(step, add=(*step.add, Factor("", 1, Fraction(0))))
        yield Fault("term left out", step.name, factors_given(step.add), words, Edit(step=none))
    if step.unit == MINUTES and isinstance(step, (Product, Sum)):
        for cut_off in (False, True):
            wrong = DecimalHours(step.name, step.says, step.unit, step.quantity, step.sources, step, cut_off)
            yield Fault("decimal hours", step.name, "", wording.DECIMAL_HOURS, Edit(step=wrong))


def _otherwise(step: Step, chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """Added for multiplied, and a slipped point in one term of a sum."""
    if step.name in chain.conversions:
        return
    if isinstance(step, Product):
        for terms, plain in _added(1, step.factors, chain, stated):
            added = Sum(step.name, step.says, step.unit, step.quantity, step.sources, terms)
            words = wording.added(*(factors_say((one,), chain) for one in plain))
            yield Fault("added for multiplied", step.name, factors_given(plain), words, Edit(step=added))
    if isinstance(step, Sum):
        for i, term in enumerate(step.terms):
            for more, plain in _added(term.sign, term.factors, chain, stated):
                words = wording.added(*(factors_say((one,), chain) for one in plain))
                wrong = replace(step, terms=(*step.terms[:i], *more, *step.terms[i + 1 :]))
                yield Fault("added for multiplied", step.name, factors_given(plain), words, Edit(step=wrong))
    if isinstance(step, Sum):
        for i, term in enumerate(step.terms):
            for scale in (TEN, 1 / TEN):
                slipped = replace(term, factors=(*term.factors, Factor("", 1, scale)))
                words = wording.point_slipped(factors_say(term.factors, chain), large=scale > 1)
                terms = (*step.terms[:i], slipped, *step.terms[i + 1 :])
                fault = Fault("decimal slip", step.name, factors_given(term.factors), words, Edit())
                yield replace(fault, edit=Edit(step=replace(step, terms=terms)))


def _another_result(step: Step, chain: Chain) -> Iterator[Fault]:
    """A row farther off, or a result on the way given as the answer."""
    if isinstance(step, Lookup):
        for shift in (2, -2, 3, -3):
            words = wording.other_row(step.says)
            yield Fault("wrong row", step.name, step.key, words, Edit(step=replace(step, shift=shift)))
    if isinstance(step, (Product, Sum, Root)):
        for other in chain.steps:
            alike = other.unit == step.unit and other.name not in chain.conversions and not isinstance(other, Choice)
            if alike and other.name != step.name and chain.depends(step.name, other.name):
                words = wording.stopped_early(step.says, other.says)
                factors = (Factor(other.name, 1),)
                taken = Product(step.name, step.says, step.unit, step.quantity, step.sources, factors)
                yield Fault("stopped early", step.name, other.name, words, Edit(step=taken))


def _added(
    sign: int, factors: tuple[Factor, ...], chain: Chain, stated: Mapping[str, str]
) -> Iterator[tuple[tuple[SignedTerm, ...], tuple[Factor, ...]]]:
    """The terms of one who adds two factors in the place of multiplying them, with the two."""
    known = [
        f
        for f in factors
        if f.exponent == 1 and not f.group and not f.is_equivalence and (f.name in stated or f.name in chain.by_name)
    ]
    for first, second in combinations(known, 2):
        rest = tuple(f for f in factors if f not in (first, second))
        yield (SignedTerm(sign, (first, *rest)), SignedTerm(sign, (second, *rest))), (first, second)
        if len(known) > 2:
            last = tuple(f for f in factors if f is not second)
            yield (SignedTerm(sign, last), SignedTerm(sign, (second,))), (first, second)


def _idle(step: Step, chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """A value of the stem with which nothing is calculated, counted in all the same."""
    used = {name for each in chain.steps for name in each.inputs}
    for name, says in stated.items():
        if name in used or name.removesuffix(".stated") in used or name not in chain.names.units:
            continue
        unit = chain.names.units[name]
        own = Factor(name, 1)
        if unit == step.unit and isinstance(step, (Product, Sum)):
            terms = step.terms if isinstance(step, Sum) else (SignedTerm(1, step.factors),)
            for sign in (1, -1):
                more = (*terms, SignedTerm(sign, (own,)))
                wrong = Sum(step.name, step.says, step.unit, step.quantity, step.sources, more)
                words = wording.idle_added(says, sign=sign)
                yield Fault("counted in", step.name, name, words, Edit(step=wrong))
        if dict(unit.dimension) == {"body weight": 1} and isinstance(step, Product):
            for exponent in (1, -1):
                more_factors = (*step.factors, replace(own, exponent=exponent))
                words = wording.idle_multiplied(says, exponent=exponent)
                yield Fault("counted in", step.name, name, words, Edit(step=replace(step, factors=more_factors)))


def _given_for_result(step: Step, chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """A number of the stem in the place of a result that measures the same: the weight for the adjusted weight."""
    if not isinstance(step, (Product, Root, CountUp, Sum)) or step.name in chain.conversions:
        return
    for name in dict.fromkeys(step.inputs):
        if name not in chain.by_name or name in chain.conversions:
            continue
        before = chain.steps[: chain.steps.index(step)]
        results = {s.name: s.says for s in before if s.name not in chain.conversions}
        for other, says in {**stated, **results}.items():
            if chain.names.units.get(other) != chain.by_name[name].unit or chain.depends(other, step.name):
                continue
            if other not in step.inputs:
                words = wording.wrong_given(value_says(name, chain), says)
                yield Fault("wrong given", step.name, name, words, Edit(step=with_other_name(step, name, other)))


def _in_sum(step: Sum, chain: Chain) -> Iterator[Fault]:
    """Two terms at once, which a student has put together before; and the values of a term as they are stated."""
    for i, j in combinations(range(len(step.terms)), 2):
        both = (factors_say(step.terms[i].factors, chain), factors_say(step.terms[j].factors, chain))
        given = factors_given(step.terms[j].factors)
        others = tuple(t for k, t in enumerate(step.terms) if k not in (i, j))
        if others:
            left = replace(step, terms=others)
            yield Fault("term left out", step.name, given, wording.left_out(*both), Edit(step=left))
        if i > 0:
            turned = tuple(replace(t, sign=-t.sign) if k in (i, j) else t for k, t in enumerate(step.terms))
            edit = Edit(step=replace(step, terms=turned))
            yield Fault("wrong sign", step.name, given, wording.signs_exchanged(both), edit)
    for i, term in enumerate(step.terms):
        for factors in _as_stated(term.factors, chain):
            for changed, fault in factor_faults(factors, step, chain, False):
                terms = (*step.terms[:i], replace(term, factors=changed), *step.terms[i + 1 :])
                yield replace(fault, edit=Edit(step=replace(step, terms=terms)))


def _as_stated(factors: tuple[Factor, ...], chain: Chain) -> Iterator[tuple[Factor, ...]]:
    """The factors with one value in the unit in which the stem states it, its conversion beside it."""
    for i, factor in enumerate(factors):
        conversion = chain.by_name.get(factor.name)
        if factor.name in chain.conversions and isinstance(conversion, Product):
            within = tuple(replace(f, exponent=f.exponent * factor.exponent) for f in conversion.factors)
            yield (*factors[:i], *within, *factors[i + 1 :])


def _pairs_left_out(step: Product | Root | CountUp, chain: Chain) -> Iterator[tuple[tuple[Factor, ...], Fault]]:
    """Two values left out together, such as a strength that the student works out first."""
    plain = [f for f in step.factors if not f.is_equivalence]
    if len(plain) < 3:
        return
    for pair in combinations(plain, 2):
        if not (pair[0].group and pair[0].group == pair[1].group):
            words = wording.left_out(*(factors_say((one,), chain) for one in pair))
            fault = Fault("left out", step.name, factors_given(pair), words, Edit())
            yield tuple(f for f in step.factors if f not in pair), fault


def _turned_with_conversions(step: Product | Root | CountUp) -> Iterator[tuple[tuple[Factor, ...], Fault]]:
    """A quotient turned round by one who has converted its values before."""
    plain = [f for f in step.factors if not f.is_equivalence]
    conversions = tuple(f for f in step.factors if f.is_equivalence)
    words = wording.divided_the_wrong_way(step.says)
    fault = Fault("divided the wrong way", step.name, "", words, Edit())
    quotients = [
        (above, below)
        for above in plain
        for below in plain
        if above.exponent > 0 > below.exponent and not (above.group and above.group == below.group)
    ]
    for quotient in (*quotients, tuple(plain)) if quotients else ():
        for converted in dict.fromkeys((conversions, *((c,) for c in conversions))):
            turned = (*quotient, *converted)
            yield tuple(replace(f, exponent=-f.exponent) if f in turned else f for f in step.factors), fault


def _constant_slips(chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """A slipped point in a number that a formula, a table or the text fixes: a limit, a time, a percentage."""
    calculated = (Product, Root, CountUp, Sum, Clock)
    used = dict.fromkeys(name for step in chain.steps if isinstance(step, calculated) for name in step.inputs)
    starts = {step.start for step in chain.steps if isinstance(step, Clock)}
    for name in used:
        looked_up = isinstance(chain.by_name.get(name), Lookup)
        fixed = name in chain.names.units and name not in chain.by_name and name not in stated
        if name.startswith(EQUIVALENCE) or not (looked_up or fixed) or name in starts:
            continue
        if name.rpartition(".")[0] in stated:
            continue
        for scale in (TEN, 1 / TEN):
            words = wording.point_slipped(value_says(name, chain), large=scale > 1)
            yield Fault("decimal slip", "", name, words, Edit(scales={name: scale}))
