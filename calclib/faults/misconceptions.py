"""The classic misconceptions, each read off what a step is made of: a percentage, a powder, a frequency, a share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Factor, bridged
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.sums import SignedTerm, Sum
from calclib.chains.step import Step
from calclib.errors.messages import BadInput
from calclib.faults.factor_faults import factors_given, factors_say, value_says
from calclib.faults.fault import Fault
from calclib.quantity.equivalences import equivalences
from calclib.quantity.units import Unit, parse_unit
from calclib.wording.facts import fact

ONE_PERCENT = parse_unit("g/mL") / parse_unit("%")
PERCENT = parse_unit("%")
MG_IN_ML = Fraction(1, 10)  # 1% is 10 mg in each mL
G_IN_ML = Fraction(100)  # and 1 g in 100 mL


def misconceptions(chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """Yield the misconceptions that the shape of a chain allows; they come before mistakes that lead to the same.

    Args:
        chain: The compiled chain.
        stated: The words of the numbers of the stem by name.
    """
    for step in chain.steps:
        if isinstance(step, Product):
            yield from _percent_misread(step, chain)
        if step.name in chain.conversions:
            continue
        if isinstance(step, (Product, CountUp)):
            yield from _day_for_dose(step, chain)
            yield from _diluent_for_final_volume(step, chain, stated)
        if isinstance(step, Product):
            yield from _part_for_rest(step, chain, stated)
        if isinstance(step, Sum):
            yield from _change_for_new_value(step, chain)


def _percent_misread(step: Product, chain: Chain) -> Iterator[Fault]:
    """0.25% read as 0.25 mg or as 0.25 g in each mL."""
    if not any(chain.names.units.get(f.name) == ONE_PERCENT for f in step.factors):
        return
    for factor in step.factors:
        if chain.names.units.get(factor.name) == PERCENT:
            for scale, read in ((MG_IN_ML, "mg"), (G_IN_ML, "g")):
                words = fact("mistake.percent_misread", unit=read)
                yield Fault("percent misread", step.name, factor.name, words, Edit(scales={factor.name: scale}))


def _day_for_dose(step: Product | CountUp, chain: Chain) -> Iterator[Fault]:
    """The amount of a day taken for one dose, or one dose for the day."""
    for factor in step.factors:
        unit = Unit(()) if not factor.name else chain.unit(factor.name)
        powers = dict(unit.powers)
        if powers.get("dose") == 1 and set(powers) == {"dose", "day"} and len(step.factors) > 1:
            others = tuple(f for f in step.factors if f is not factor)
            words = fact("mistake.day_for_dose" if factor.exponent < 0 else "mistake.dose_for_day")
            yield Fault("day for dose", step.name, factor.name, words, Edit(step=replace(step, factors=others)))


def _diluent_for_final_volume(step: Product | CountUp, chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """The powder divided by the diluent, as if it took up no room, where the label gives the strength after mixing.

    Powder and diluent are an amount and a volume of the stem with which no step calculates.
    """
    used = {name for each in chain.steps for name in each.inputs}
    idle = [name for name in stated if name not in used and name in chain.names.units and "." not in _root(name)]
    amounts = [n for n in idle if _measures(chain, n, "amount")]
    volumes = [n for n in idle if _measures(chain, n, "volume")]
    for group in dict.fromkeys(f.group or f.name for f in step.factors if f.name and not f.is_equivalence):
        mine = tuple(f for f in step.factors if (f.group or f.name) == group)
        unit = chain.names.units.get(group)
        if unit is None or not _is_strength(unit):
            continue
        turn = next(f.exponent for f in mine if f.name != f"{group}.volume")
        rest = tuple(f for f in step.factors if f not in mine and not f.is_equivalence)
        for amount in amounts:
            powder = Factor(amount, turn)
            for volume in volumes:
                words = fact("mistake.diluent_as_final_volume", phrase=stated[volume])
                factors = _rebuilt((*rest, powder, Factor(volume, -turn)), step, chain)
                if factors is not None:
                    kind = "diluent for final volume"
                    yield Fault(kind, step.name, volume, words, Edit(step=replace(step, factors=factors)))
            words = fact("mistake.powder_as_strength", phrase=stated[amount])
            factors = _rebuilt((*rest, powder), step, chain, per_ml=turn)
            if factors is not None:
                yield Fault("wrong given", step.name, amount, words, Edit(step=replace(step, factors=factors)), True)


def _root(name: str) -> str:
    return name.removesuffix(".stated")


def _measures(chain: Chain, name: str, what: str) -> bool:
    dimension = dict(chain.names.units[name].dimension)
    if what == "volume":
        return dimension == {"volume": 1}
    return len(dimension) == 1 and next(iter(dimension)).startswith("drug") and set(dimension.values()) == {1}


def _is_strength(unit: Unit) -> bool:
    dimension = dict(unit.dimension)
    return dimension.get("volume") == -1 and len(dimension) == 2 and any(d.startswith("drug") for d in dimension)


def _rebuilt(
    plain: tuple[Factor, ...], step: Product | CountUp, chain: Chain, per_ml: int = 0
) -> tuple[Factor, ...] | None:
    """Factors with the conversions that they need, those the chain does not know as plain numbers; None if unfit."""
    unit = step.unit if not per_ml else step.unit * parse_unit("mL") ** per_ml
    try:
        factors = bridged(plain, chain.names, unit, step.name, per_dose=True)
    except BadInput:
        return None
    known = set(chain.equivalences)
    return tuple(
        Factor("", f.exponent, equivalences()[f.equivalence].value)
        if f.is_equivalence and f.equivalence not in known
        else f
        for f in factors
    )


def _part_for_rest(step: Product, chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """Cut by 40% for cut to 40%: the part that goes taken for the part that stays, or the reverse."""
    numbers = {f.name for f in step.factors if f.name}
    for factor in step.factors:
        if factor.exponent != 1 or _root(factor.name) not in {_root(n) for n in stated}:
            continue
        unit = chain.unit(factor.name)
        whole = [f for f in step.factors if f.exponent == -1 and f.name and chain.unit(f.name) == PERCENT]
        percent = unit == PERCENT and len(whole) == 1
        if not percent and (unit.powers or len(numbers) < 2):
            continue
        rest = tuple(f for f in step.factors if f is not factor and f not in whole)
        if not any(f.name and not f.is_equivalence for f in rest):
            continue
        terms = (SignedTerm(1, rest), SignedTerm(-1, step.factors))
        wrong = Sum(step.name, step.says, step.unit, step.quantity, step.sources, terms)
        says = value_says(_root(factor.name), chain)
        words = fact("mistake.percent_for_rest" if percent else "mistake.part_for_rest", phrase=says)
        yield Fault("part for rest", step.name, factor.name, words, Edit(step=wrong), not percent)


def _change_for_new_value(step: Sum, chain: Chain) -> Iterator[Fault]:
    """The change alone, raised or lowered to it where it is raised or lowered by it."""
    if len(step.terms) != 2:
        return
    first, second = step.terms
    if not _is_change_of(first, second, step, chain):
        return
    shared = bool({f.name for f in first.factors} & {f.name for f in second.factors if not f.is_equivalence})
    words = (
        fact("mistake.change_alone", new=step.says)
        if shared
        else fact("mistake.change_for_new_value", phrase=factors_say(second.factors, chain), new=step.says)
    )
    for sign in (1, -1):
        alone = replace(step, terms=(replace(second, sign=sign),))
        yield Fault("change for new value", step.name, factors_given(second.factors), words, Edit(step=alone))


def _is_change_of(first: SignedTerm, second: SignedTerm, step: Step, chain: Chain) -> bool:
    """Whether the second term is a share of the first, or a step that a table or a rule gives."""
    mine, other = ({f.name for f in t.factors if not f.is_equivalence} for t in (first, second))
    return mine < other or (len(other) == 1 and next(iter(other)) in chain.by_name and not mine & set(chain.by_name))
