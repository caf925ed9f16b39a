"""The lines that show each kind of step, with numbers and units."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import singledispatch

from calclib.chains.factors import Factor, Names, Value, product_value, unit_of, without_doses
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.between import Between
from calclib.chains.kinds.choose import Choose
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import REASON, Decide
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup, Row
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import RaisedTo, Root
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.shown import (
    EQUALS,
    MINUS,
    NO_UNIT,
    PLUS,
    Line,
    Maths,
    Ratio,
    Segment,
    Showing,
    Words,
    amount,
    amount_text,
    result,
    unsigned,
)
from calclib.chains.shown import term as alone
from calclib.chains.step import Step
from calclib.quantity.clock import MINUTES_PER_DAY, clock_time
from calclib.quantity.enclosure import Enclosure
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import write_number
from calclib.wording.facts import Fact, fact

_MINUTE = parse_unit("min")
_NO_NAMES = Names({})


def rounded_line(step: Step, rule: RoundingRule, value: Value) -> Line:
    """Return the line that rounds a step: “Round to the nearest hundredth of a m2: body surface area = 1.88 m2”."""
    told, how = rule.told(str(step.unit)), rule.how(str(step.unit))
    if told == fact("rounding_rule.alone", how=how):
        words = fact("worked.rounded", how=how, phrase=step.says)
    else:
        words = fact("worked.rounded_with_more", rule=told, phrase=step.says)
    return (Words(words), EQUALS, result(value, step.unit))


@singledispatch
def step_lines(step: Step, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    """Return the lines that show one step.

    Args:
        step: The step.
        showing: The chain, its values and how factors are shown.
        rule: The rule by which the result is rounded next, so that it is shown with enough digits.
    """
    raise NotImplementedError(f"no display for {type(step).__name__}")


@step_lines.register
def _(step: Product, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    return (_product_line(step.says, step.factors, step, showing, rule),)


def _product_line(
    says: str, factors: tuple[Factor, ...], step: Step, showing: Showing, rule: RoundingRule | None = None
) -> Line:
    maths = showing.product(factors)
    value = result(product_value(factors, showing.values), step.unit, rule)
    if len(maths.ratios) == 1 and factors[0].exponent == 1 and maths.ratios[0].bottom is None:
        same = says == showing.says(factors[0].name)
        return (Words(says), EQUALS, value, *(() if same else (_named(showing.says(factors[0].name)),)))
    if len(maths.ratios) == 1 and value.ratios[0].top is not None and value.ratios[0].top.about:
        return (Words(says), EQUALS, maths)  # 1 dose/6 h says more than a long decimal
    return (Words(says), EQUALS, maths, EQUALS, value)


@step_lines.register
def _(step: Sum, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    lines: list[Line] = []
    total: list[Segment] = []
    every = [(term, product_value(term.factors, showing.values)) for term in step.terms]
    counting = [one for one in every if one[1] != 0] or every[:1]
    for term, exact in counting:
        if len(showing.product(term.factors).ratios) > 1:
            line = _product_line(_term_says(term.factors, showing), term.factors, step, showing)
            lines.append(tuple(unsigned(one) if isinstance(one, Maths) else one for one in line))
        below_zero = isinstance(exact, Fraction) and exact < 0
        value = alone(-exact if below_zero else exact, step.unit)
        adds = (term.sign > 0) is not below_zero
        total += [PLUS if adds else MINUS, value] if total or not adds else [value]
    end = result(step.evaluate(showing.values), step.unit, rule)
    alone_already = len(counting) == 1 and len(total) == 1
    return (*lines, (Words(step.says), EQUALS, *(() if alone_already else (*total, EQUALS)), end))


def _named(phrase: str) -> Words:
    return Words(fact("worked.named", phrase=phrase))


def _term_says(factors: tuple[Factor, ...], showing: Showing) -> str:
    signs: dict[str, int] = {}
    for factor in factors:
        if factor.name and not factor.is_equivalence:
            signs.setdefault(factor.group or factor.name, factor.exponent)
    said = [(" x " if sign > 0 else " / ", says) for name, sign in signs.items() if (says := showing.says(name))]
    return "".join(f"{join if place else ''}{says}" for place, (join, says) in enumerate(said))


@step_lines.register
def _(step: Limit, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    lines: list[Line] = []
    shown: list[Segment] = []
    for place, term in enumerate(step.terms):
        if len(showing.product(term).ratios) > 1:
            lines.append(_product_line(_term_says(term, showing), term, step, showing))
        if place:
            shown.append(Words(fact("worked.and" if place == len(step.terms) - 1 else "worked.comma")))
        value = alone(product_value(term, showing.values), step.unit)
        shown += [value, _named(_term_says(term, showing))]
    end = result(step.evaluate(showing.values), step.unit, rule)
    return (*lines, (Words(step.says), EQUALS, Words(limit_of(step)), *shown, EQUALS, end))


def limit_of(step: Limit) -> Fact:
    """Return which of the terms of a limit is taken: “the smaller of”."""
    of_two, of_more = _LIMITS[step.take]
    return of_two if len(step.terms) == 2 else of_more


_LIMITS = {
    "least": (fact("worked.limit_smaller"), fact("worked.limit_least")),
    "greatest": (fact("worked.limit_larger"), fact("worked.limit_greatest")),
}


@step_lines.register
def _(step: Root, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    under = Maths((Ratio("", amount(_exact(product_value(step.factors, showing.values)), NO_UNIT)),), root=True)
    maths = showing.product(step.factors, root=True)
    end = result(step.evaluate(showing.values), step.unit, rule)
    return ((Words(step.says), EQUALS, maths, EQUALS, under, EQUALS, end),)


@step_lines.register
def _(step: RaisedTo, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    exponent = Words(fact("worked.raised_to_power", exponent=write_number(step.exponent)))
    end = result(step.evaluate(showing.values), step.unit, rule)
    return ((Words(step.says), EQUALS, showing.one(step.base), exponent, EQUALS, end),)


@step_lines.register
def _(step: Band, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    value, unit = _exact(showing.values[step.of]), showing.chain.unit(step.of)
    rate_unit = step.unit / unit
    end = result(step.evaluate(showing.values), step.unit, rule)
    if not step.progressive:
        rate = Ratio("", amount(step.bands[step.reached(value)].rate, rate_unit))
        return ((Words(step.says), EQUALS, Maths((*showing.one(step.of).ratios, rate)), EQUALS, end),)
    lines: list[Line] = []
    below = Fraction(0)
    for band in step.bands[: step.reached(value) + 1]:
        part = value - below if band.upto is None or value <= band.upto else band.upto - below
        words = band_words(below, band.upto, unit)
        maths = Maths((Ratio("", amount(part, unit)), Ratio("", amount(band.rate, rate_unit))))
        if band.rate:
            lines.append((Words(fact("worked.band", band=words)), maths, EQUALS, result(part * band.rate, step.unit)))
        below = band.upto if band.upto is not None else below
    if not lines:
        return ((Words(step.says), EQUALS, end),)
    if len(lines) == 1 and step.bands[0].rate:
        return ((Words(step.says), EQUALS, *lines[0][1:3], end),)
    total: list[Segment] = []
    for line in lines:
        value_of_band = line[-1]
        assert isinstance(value_of_band, Maths)
        total += [PLUS] if total else []
        total.append(replace(value_of_band, result=False))
    shown = () if len(total) == 1 else (*total, EQUALS)
    return (*lines, (Words(step.says), EQUALS, *shown, end))


def band_words(below: Fraction, upto: Fraction | None, unit: Unit) -> Fact:
    """Return what a band is: “first 10 kg”, “next 10 kg”, “above 20 kg”."""
    if upto is None:
        return fact("worked.band_above", amount=amount_text(amount(below, unit)))
    wide = amount_text(amount(upto - below, unit))
    return fact("worked.band_next" if below else "worked.band_first", amount=wide)


@step_lines.register
def _(step: Lookup, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    key = showing.values[step.key]
    shown = key if isinstance(key, str) else amount_text(amount(key, showing.chain.unit(step.key)))
    row = row_words(step.rows[step.row_of(key)], showing.chain.unit(step.key))
    if isinstance(key, str):
        words = fact("worked.lookup_text", key=key, phrase=step.says)
    elif row == shown:
        words = fact("worked.lookup", key=shown, phrase=step.says)
    else:
        words = fact("worked.lookup_row", key=shown, row=row, phrase=step.says)
    value = step.evaluate(showing.values)
    if isinstance(value, Fraction) and value < 0:
        return ((Words(words), EQUALS, result(-value, step.unit, rule), Words(fact("worked.less"))),)
    return ((Words(words), EQUALS, result(value, step.unit, rule)),)


def row_words(row: Row, unit: Unit) -> Fact | str:
    """Return what a row of a table is for: “200 to below 250”."""
    if row.equals is not None:
        return row.equals
    start = "" if row.start is None else amount_text(amount(row.start, NO_UNIT if row.end is not None else unit))
    end = "" if row.end is None else amount_text(amount(row.end, unit))
    if not start:
        return fact("worked.row_up_to" if row.closed else "worked.row_below", end=end)
    if not end:
        return fact("worked.row_from", start=start)
    return fact("worked.row_to" if row.closed else "worked.row_to_below", start=start, end=end)


@step_lines.register
def _(step: CountUp, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    raw = result(product_value(step.factors, showing.values), step.unit)
    line: Line = (Words(step.says), EQUALS, showing.product(step.factors), EQUALS, raw)
    end = amount_text(amount(_exact(step.evaluate(showing.values)), step.unit))
    return ((*line, Words(fact("worked.count_up", amount=end))),)


@step_lines.register
def _(step: Round, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    return (rounded_line(step, step.rule, step.evaluate(showing.values)),)


@step_lines.register
def _(step: Clock, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    minutes = _fraction(product_value(step.add, showing.values))
    start = _fraction(showing.values[step.start])
    end = _fraction(step.evaluate(showing.values))
    lines: list[Line] = []
    duration = showing.product(step.add)
    hours = Words(fact("worked.clock_duration", duration=duration_words(minutes)))
    if len(duration.ratios) > 1 and minutes % 60:
        lines.append((Words(showing.says(step.add[0].name)), EQUALS, duration, EQUALS, result(minutes, _MINUTE), hours))
    elif len(duration.ratios) == 1 and minutes >= 60:
        lines.append((Words(showing.says(step.add[0].name)), EQUALS, result(minutes, _MINUTE), hours))
    shown = time_words(end, rule)
    to_midnight = MINUTES_PER_DAY - start % MINUTES_PER_DAY
    if step.sign > 0 and 0 < to_midnight <= minutes < to_midnight + MINUTES_PER_DAY:
        lines.append(_past_midnight(start, to_midnight, minutes - to_midnight))
    words = fact(
        "worked.clock",
        phrase=step.says,
        start=clock_time(start).write(),
        sign="+" if step.sign > 0 else "-",
        duration=duration_words(minutes),
        end=shown,
    )
    return (*lines, (Words(words),))


def _past_midnight(start: Fraction, before: Fraction, after: Fraction) -> Line:
    begin = clock_time(start).write()
    told = fact("worked.past_midnight", begin=begin, before=duration_words(before), after=duration_words(after))
    return (Words(told),)


def duration_words(minutes: Fraction) -> Fact | str:
    """Return minutes as “11 h 10 min”; parts of a minute to a tenth."""
    hours, rest = divmod(minutes, 60)
    tenths = Fraction((rest * 10 + Fraction(1, 2)).__floor__(), 10)
    if tenths == 60:
        hours, tenths = hours + 1, Fraction(0)
    pieces = [f"{write_number(hours)} h"] if hours else []
    pieces += [f"{write_number(tenths)} min"] if tenths or not hours else []
    shown = " ".join(pieces)
    return shown if divmod(minutes, 60) == (hours, tenths) else fact("worked.about", amount=shown)


def time_words(minutes: Fraction, rule: RoundingRule | None) -> Fact | str:
    """Return a time of day, between two minutes as “about”."""
    if minutes.denominator == 1:
        return clock_time(minutes).write()
    near = rule.rounded(minutes) if rule is not None else Fraction((minutes + Fraction(1, 2)).__floor__())
    shown = clock_time(near).write() if near.denominator == 1 else f"{write_number(minutes, 1)} min"
    return fact("worked.about", amount=shown)


@step_lines.register
def _(step: Compare, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    values = showing.values
    value = product_value(step.value, values)
    shown = _for_one_dose(step.value, showing)
    choice = step.evaluate(values)
    low, high = (product_value(limit, values) if limit else None for limit in (step.low, step.high))
    if low is not None and high is not None and low < value < high:
        low_end, high_end = _limit_segments(step.low, showing), _limit_segments(step.high, showing)
        said: Line = (Words(fact("worked.compare_between")), *low_end, Words(fact("worked.and")), *high_end)
    else:
        limit, bound = (step.low, low) if low is not None and (high is None or not value > low) else (step.high, high)
        assert bound is not None
        less_or_more = fact("worked.compare_less" if value < bound else "worked.compare_more")
        words = fact("worked.compare_equal") if value == bound else less_or_more
        said = (Words(words), *_limit_segments(limit, showing))
    begins, ends = fact("worked.compare", phrase=step.says), fact("worked.compare_so", choice=str(choice))
    return ((Words(begins), shown, *said, Words(ends)),)


@step_lines.register
def _(step: Decide, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    found = step.found(showing.values)
    if not found.clauses and step.column == REASON:
        against = tuple(f"“{one.reason}”" for one in step.findings[:-1])
        return ((Words(fact("decision.none_applies", reasons=against, label=found.label)),),)
    if step.column == REASON:
        return ((Words(fact("decision.reason", label=found.label)),),)
    return ((Words(fact("decision.act", reason=found.reason, label=found.label)),),)


@step_lines.register
def _(step: Choose, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    unit = showing.chain.unit(step.of)
    value, label = _exact(showing.values[step.of]), step.evaluate(showing.values)
    sizes = tuple(amount_text(amount(option.upto, unit)) for option in step.options if option.upto is not None)
    chosen = next(option for option in step.options if option.label == label)
    if chosen.upto is None:
        found = fact("worked.choose_none", sizes=sizes, choice=str(label))
    else:
        enough = amount_text(amount(chosen.upto, unit))
        found = fact("worked.choose_smallest", sizes=sizes, size=enough, choice=str(label))
    begins = fact("worked.choose", phrase=step.says, of=showing.says(step.of))
    return ((Words(begins), EQUALS, result(value, unit), Words(found)),)


@step_lines.register
def _(step: Between, showing: Showing, rule: RoundingRule | None) -> tuple[Line, ...]:
    start, end = _fraction(showing.values[step.start]), _fraction(showing.values[step.end])
    minutes = _fraction(step.evaluate(showing.values))
    to_midnight = MINUTES_PER_DAY - start % MINUTES_PER_DAY
    lines = [_past_midnight(start, to_midnight, minutes - to_midnight)] if to_midnight < minutes else []
    words = fact(
        "worked.between",
        phrase=step.says,
        begin=clock_time(start).write(),
        end=clock_time(end).write(),
        duration=duration_words(minutes),
    )
    return (*lines, (Words(words), EQUALS, result(minutes, step.unit, rule)))


def _limit_segments(factors: tuple[Factor, ...], showing: Showing) -> tuple[Segment, ...]:
    return (_for_one_dose(factors, showing), _named(_term_says(factors, showing)))


def _for_one_dose(factors: tuple[Factor, ...], showing: Showing) -> Maths:
    """A side of a comparison; “per dose” need not be said in it."""
    unit = without_doses(unit_of(factors, Names({f.name: showing.chain.unit(f.name) for f in factors if f.name})))
    return alone(product_value(factors, showing.values), unit)


def _exact(value: Value) -> Fraction | Enclosure:
    assert not isinstance(value, str)
    return value


def _fraction(value: Value) -> Fraction:
    assert isinstance(value, Fraction)
    return value
