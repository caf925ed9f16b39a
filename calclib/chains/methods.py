"""Other ways to write a step than factors with units: ratio and proportion, and the formula D/H x Q."""

from __future__ import annotations

from dataclasses import replace

from calclib.chains.factors import Factor, product_value, unit_of
from calclib.chains.kinds.product import Product
from calclib.chains.shown import (
    EQUALS,
    MOST_UNITS,
    NO_UNIT,
    Amount,
    Line,
    Maths,
    Ratio,
    Showing,
    Words,
    amount,
    amount_text,
    result,
)
from calclib.chains.step import Step
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import Unit, unit_table
from calclib.quantity.writing import write_unit
from calclib.wording.facts import Fact, fact

FACTORS, RATIO, FORMULA = "factors", "ratio", "formula"
METHODS = {
    FACTORS: "factors with units",
    RATIO: "ratio and proportion",
    FORMULA: "formula",
}


def method_lines(step: Step, showing: Showing, method: str, rule: RoundingRule | None) -> tuple[Line, ...] | None:
    """Return the lines of a step by another method; None where the method does not fit the step.

    Args:
        step: The step.
        showing: The chain, its values and how factors are shown.
        method: `RATIO` or `FORMULA`.
        rule: The rule by which the result is rounded next.
    """
    if not isinstance(step, Product):
        return None
    return _proportion(step, showing, rule) if method == RATIO else _formula(step, showing, rule)


def _split(step: Product) -> tuple[list[Factor], tuple[Factor, ...]]:
    """One factor for each given or strength, and the equivalences."""
    plain: dict[str, Factor] = {}
    for factor in step.factors:
        if not factor.is_equivalence:
            plain.setdefault(factor.group or factor.name, factor)
    return list(plain.values()), tuple(f for f in step.factors if f.is_equivalence)


def _members(factor: Factor, step: Product) -> tuple[Factor, ...]:
    return tuple(f for f in step.factors if f.group == factor.group) if factor.group else (factor,)


def _proportion(step: Product, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...] | None:
    """“500 mL/800 mg = x/400 mg; x = 400 mg x 500 mL/800 mg = 250 mL”."""
    plain, conversions = _split(step)
    if len(plain) == 1 and len(conversions) == 1 and plain[0].exponent == 1 and not plain[0].group:
        known: tuple[Factor, ...] = conversions
        other, conversions = plain[0], ()
    elif len(plain) == 2:
        rates = [f for f in plain if f.group or _is_rate(showing.chain.unit(f.name))]
        rates.sort(key=lambda f: (not f.group, f.exponent))
        others = [f for f in plain if f not in rates[:1]]
        if not rates or len(others) != 1 or others[0].exponent != 1 or others[0].group:
            return _per_one(step, plain, conversions, showing, rule)
        known, other = _members(rates[0], step), others[0]
    else:
        return None
    ratio = _fraction(showing.product(known).ratios[0])
    have = showing.one(other.name).ratios[0]
    if ratio is None or ratio.top is None or ratio.bottom is None or have.top is None:
        return None  # what one percent is stands below the line alone, and makes no proportion
    lines: list[Line] = []
    needed = {s for s, _ in ratio.bottom.unit.powers}
    if conversions and not needed & {s for s, _ in have.top.unit.powers}:
        line, have = _converted(other, conversions, showing)
        if have.top is None or len(have.top.unit.powers) > MOST_UNITS:
            return None
        lines.append(line)
        conversions = ()
    if not needed & {s for s, _ in have.top.unit.powers} or conversions:  # type: ignore[union-attr]
        return None
    unknown = Ratio("x", Amount("x", is_words=True), have.top)
    lines.append((Words(fact("worked.method_unknown", phrase=step.says)), Maths((ratio,)), EQUALS, Maths((unknown,))))
    end = result(product_value(step.factors, showing.values), step.unit, rule)
    return (*lines, (Words("x"), EQUALS, Maths((have, ratio)), EQUALS, end))


def _per_one(
    step: Product, plain: list[Factor], conversions: tuple[Factor, ...], showing: Showing, rule: RoundingRule | None
) -> tuple[Line, ...] | None:
    """“1,000 mL/8 h = x/1 h”: a rate from an amount and a time."""
    above = [f for f in plain if f.exponent == 1 and not f.group and f.number is None]
    below = [f for f in plain if f.exponent == -1 and not f.group and f.number is None]
    if len(above) != 1 or len(below) != 1 or len(step.unit.powers) != 2:
        return None
    one = Unit(tuple((s, -e) for s, e in step.unit.powers if e < 0))
    divisor = showing.one(below[0].name).ratios[0].top
    top = showing.one(above[0].name).ratios[0].top
    each = amount(product_value(conversions, showing.values), one * unit_of(conversions, showing.chain.names))
    if divisor is None or top is None or divisor.unit != each.unit or len(top.unit.powers) != 1 or each.about:
        return None
    known = Maths((Ratio("", top, divisor),))
    unknown = Maths((Ratio("x", Amount("x", is_words=True), each),))
    words = fact("worked.method_unknown_for_each", phrase=step.says, unit=write_unit(str(one), one=True))
    line: Line = (Words(words), known, EQUALS, unknown)
    value = product_value(step.factors, showing.values)
    per_unit = Unit(tuple((s, e) for s, e in step.unit.powers if e > 0))
    solved = Maths((Ratio("", top), Ratio("", each), Ratio("", None, divisor)))
    found: Line = (Words("x"), EQUALS, solved, EQUALS, result(value, per_unit))
    return line, found, (Words(step.says), EQUALS, result(value, step.unit, rule))


def _formula(step: Product, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...] | None:
    plain, conversions = _split(step)
    if len(plain) < 2 or step.name in showing.chain.conversions:
        return None
    return _dose_on_hand(step, plain, conversions, showing, rule) or _in_words(step, plain, showing, rule)


def _dose_on_hand(
    step: Product, plain: list[Factor], conversions: tuple[Factor, ...], showing: Showing, rule: RoundingRule | None
) -> tuple[Line, ...] | None:
    """D/H x Q: the dose ordered over the dose on hand, times the quantity that holds it."""
    if len(plain) != 2 or plain[0].exponent != 1 or plain[0].group or plain[0].number is not None:
        return None
    ordered = showing.one(plain[0].name).ratios[0]
    strength = _fraction(showing.product(_members(plain[1], step)).ratios[0])
    if ordered.top is None or strength is None or strength.top is None or strength.bottom is None:
        return None
    if not _is_drug(strength.bottom.unit) or len(ordered.top.unit.powers) != 1 or len(strength.top.unit.powers) != 1:
        return None
    lines: list[Line] = []
    if conversions:
        line, ordered = _converted(plain[0], conversions, showing)
        lines.append(line)
    if ordered.top is None or ordered.top.unit != strength.bottom.unit:
        return None
    dose, have, quantity = ordered.top, strength.bottom, strength.top
    lines.append((Words(_dose_have_quantity(dose, have, quantity)),))
    maths = Maths((Ratio("", dose, have), Ratio("", quantity)))
    end = result(product_value(step.factors, showing.values), step.unit, rule)
    return (*lines, (Words(step.says), EQUALS, maths, EQUALS, end))


def _dose_have_quantity(dose: Amount, have: Amount, quantity: Amount) -> Fact:
    return fact(
        "worked.method_dose_on_hand",
        dose=amount_text(dose),
        have=amount_text(have),
        quantity=amount_text(quantity),
    )


def _in_words(step: Product, plain: list[Factor], showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    ratios = []
    for factor in plain:
        name = factor.group or factor.name
        if name and not showing.says(name):
            continue
        exponent = factor.exponent
        if factor.group and unit_of((Factor(factor.name, 1),), showing.chain.names).dimension == _VOLUME:
            exponent = -exponent
        words = Amount(showing.says(name) if name else amount(factor.number or 1, NO_UNIT).number, is_words=True)  # type: ignore[arg-type]
        ratios.append(Ratio(name, words) if exponent > 0 else Ratio(name, None, words))
    ordered = Maths((*(r for r in ratios if r.top), *(r for r in ratios if not r.top)))
    end = result(product_value(step.factors, showing.values), step.unit, rule)
    return ((Words(step.says), EQUALS, ordered), (Words(step.says), EQUALS, showing.product(step.factors), EQUALS, end))


_VOLUME = (("volume", 1),)


def _converted(factor: Factor, conversions: tuple[Factor, ...], showing: Showing) -> tuple[Line, Ratio]:
    """The line that converts a value first, and the converted value."""
    factors = (replace(factor, exponent=1), *conversions)
    unit = unit_of(factors[:1], showing.chain.names) if factor.name not in showing.chain.by_name else None
    start = unit if unit is not None else showing.chain.unit(factor.name)
    end = start * unit_of(conversions, showing.chain.names)
    value = product_value(factors, showing.values)
    line: Line = (Words(showing.says(factor.name)), EQUALS, showing.product(factors), EQUALS, result(value, end))
    return line, Ratio(factor.name, amount(value, end))


def _fraction(ratio: Ratio) -> Ratio | None:
    """A factor such as 15 mg/kg as 15 mg over 1 kg; None if it is no rate of two units."""
    if ratio.bottom is not None or ratio.top is None:
        return ratio if ratio.top is not None else None
    above = tuple((s, e) for s, e in ratio.top.unit.powers if e > 0)
    below = tuple((s, -e) for s, e in ratio.top.unit.powers if e < 0)
    if len(below) != 1 or not above:
        return None
    return Ratio(ratio.name, replace(ratio.top, unit=Unit(above)), Amount("1", Unit(below)))


def _is_rate(unit: Unit) -> bool:
    return any(e < 0 for _, e in unit.powers)


def _is_drug(unit: Unit) -> bool:
    dimension_of = unit_table().dimension_of
    return len(unit.powers) == 1 and dimension_of[unit.powers[0][0]].startswith("drug")
