"""What a rounding rule tells, as facts."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from calclib.quantity.writing import plural, singular, write_number, write_quantity
from calclib.wording.facts import Fact, fact

Bands = Sequence[tuple[Fraction | None, Fraction]]
WHOLE = Fraction(1)
_IN_HALVES = (Fraction(1, 2), Fraction(1, 4))
_PLACES = {
    Fraction(1, 2): (fact("rounding_rule.half"), fact("rounding_rule.halves")),
    Fraction(1, 4): (fact("rounding_rule.quarter"), fact("rounding_rule.quarters")),
    Fraction(1, 10): (fact("rounding_rule.tenth"), fact("rounding_rule.tenths")),
    Fraction(1, 100): (fact("rounding_rule.hundredth"), fact("rounding_rule.hundredths")),
    Fraction(1, 1000): (fact("rounding_rule.thousandth"), fact("rounding_rule.thousandths")),
}
# Units that no abbreviation with “a” is read as are said in full: one, several, and with the article.
_IN_FULL = {
    "oz": (fact("rounding_rule.ounce"), fact("rounding_rule.ounces"), fact("rounding_rule.an_ounce")),
    "oz_weight": (fact("rounding_rule.ounce"), fact("rounding_rule.ounces"), fact("rounding_rule.an_ounce")),
    "lb": (fact("rounding_rule.pound"), fact("rounding_rule.pounds"), fact("rounding_rule.a_pound")),
    "L": (fact("rounding_rule.liter"), fact("rounding_rule.liters"), fact("rounding_rule.a_liter")),
    "qt": (fact("rounding_rule.quart"), fact("rounding_rule.quarts"), fact("rounding_rule.a_quart")),
    "%": (fact("rounding_rule.percent"), fact("rounding_rule.percent"), fact("rounding_rule.a_percent")),
    "h": (fact("rounding_rule.hour"), fact("rounding_rule.hours"), fact("rounding_rule.an_hour")),
    "min": (fact("rounding_rule.minute"), fact("rounding_rule.minutes"), fact("rounding_rule.a_minute")),
    "s": (fact("rounding_rule.second"), fact("rounding_rule.seconds"), fact("rounding_rule.a_second")),
}
_TIES = {"half_even": fact("rounding_rule.half_even"), "half_stays": fact("rounding_rule.half_stays")}


def rule_fact(bands: Bands, mode: str, tie: str, unit: str) -> Fact:
    """Return one or two sentences that tell how to round an answer in `unit`.

    Args:
        bands: (limit, step) from small to large; the last limit is None.
        mode: `nearest`, `down` or `up`.
        tie: `half_up`, `half_even` or `half_stays`.
        unit: Unit of the answer, "" for a bare number.
    """
    how = how_fact(bands, mode, unit)
    if len(bands) == 1 and bands[0][1] != 0 and mode == "down":
        return fact("rounding_rule.and_more", how=how, more=fact("rounding_rule.drop_the_remainder"))
    if mode == "nearest" and tie in _TIES and (len(bands) > 1 or bands[0][1] != 0):
        return fact("rounding_rule.and_more", how=how, more=_TIES[tie])
    return fact("rounding_rule.alone", how=how)


def how_fact(bands: Bands, mode: str, unit: str) -> Fact:
    """Return how to round as a clause, without what becomes of a half or a remainder; arguments as above."""
    if len(bands) == 1:
        to = to_fact(bands, mode, unit)
        return fact("rounding_rule.do_not") if to is None else fact("rounding_rule.round", to=to)
    return fact("rounding_rule.bands", bands=tuple(_band(below, step, mode, unit) for below, step in bands))


def to_fact(bands: Bands, mode: str, unit: str) -> Fact | None:
    """Return to what is rounded, None for nothing or for more than one band; arguments as above."""
    if len(bands) > 1 or bands[0][1] == 0:
        return None
    place = _place(bands[0][1], unit)
    if mode == "nearest":
        return fact("rounding_rule.to_the_nearest", place=place)
    return fact("rounding_rule.down_to" if mode == "down" else "rounding_rule.up_to", place=place)


def _place(step: Fraction, unit: str) -> Fact | str:
    one = singular(unit)
    if step == WHOLE:
        named = _IN_FULL[unit][0] if unit in _IN_FULL else one
        return fact("rounding_rule.whole", unit=named) if named else fact("rounding_rule.whole_number")
    if step not in _PLACES:
        return write_quantity(step, unit)
    word = _PLACES[step][0]
    if not unit:
        return fact("rounding_rule.place", word=word, amount=write_number(step))
    amount = write_quantity(step, unit)
    if step in _IN_HALVES and "/" not in unit:
        return fact("rounding_rule.part", word=word, unit=one, amount=amount)
    of = _IN_FULL[unit][2] if unit in _IN_FULL else fact("rounding_rule.a_unit", unit=one)
    return fact("rounding_rule.part_of", word=word, unit=of, amount=amount)


def _band(below: Fraction | None, step: Fraction, mode: str, unit: str) -> Fact:
    how = _how_in_band(step, mode, unit)
    if below is None:
        return fact("rounding_rule.otherwise", how=how)
    return fact("rounding_rule.below", limit=write_quantity(below, unit), how=how)


def _how_in_band(step: Fraction, mode: str, unit: str) -> Fact:
    if step == 0:
        return fact("rounding_rule.do_not")
    places = _places(step, unit)
    if mode == "nearest":
        return fact("rounding_rule.round_to", places=places)
    return fact("rounding_rule.cut_off_after" if mode == "down" else "rounding_rule.round_up_to", places=places)


def _places(step: Fraction, unit: str) -> Fact:
    if step == WHOLE:
        named = _IN_FULL[unit][1] if unit in _IN_FULL else plural(unit)
        return fact("rounding_rule.whole", unit=named) if named else fact("rounding_rule.whole_numbers")
    if step not in _PLACES:
        return fact("rounding_rule.steps_of", amount=write_quantity(step, unit))
    return fact("rounding_rule.place", word=_PLACES[step][1], amount=write_quantity(step, unit))
