"""How a stem states a given: the text, the numbers in it, and the steps from there to the working unit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.models.identity import ByIdentity
from calclib.models.markup import markup_in
from calclib.models.model import GivenModel, Grid
from calclib.models.ranges import range_form
from calclib.quantity.calendar_dates import date_text, read_date
from calclib.quantity.clock import ClockTime
from calclib.quantity.clock import parse as parse_clock
from calclib.quantity.equivalences import bridge, bridge_factor, equivalences
from calclib.quantity.kinds import given_kinds
from calclib.quantity.units import Unit, kind_dimensions, parse_unit
from calclib.quantity.writing import decimals_of, write_quantity, write_unit
from calclib.reading.answers import read_answer
from calclib.reading.context import Context
from calclib.reading.orders.stated_values import read_order_value
from calclib.reading.orders.values import Amount, Form, OrderContext, OrderValue
from calclib.reading.records import Reading, Unreadable
from calclib.wording.facts import Fact, fact

AMOUNT_IN_VOLUME = "amount in volume"
PER_ML = "per mL"
PERCENT = "percent"
RATIO = "ratio"
EVERY_HOURS = "every h"
FRACTION = "fraction"
FORMS = (AMOUNT_IN_VOLUME, PER_ML, PERCENT, RATIO, EVERY_HOURS, FRACTION)

PERCENT_UNIT = parse_unit("g/mL") / parse_unit("%")
PERCENT_STRENGTH = Fraction(1, 100)

SAID_FRACTIONS = (2, 3, 4, 8)

MAX_TEXT = 80
MOST_EXAMPLES = 4
MOST_BELOW = 1000


@dataclass(frozen=True)
class Stated:
    """A given as a stem states it.

    Args:
        name: The given's name.
        text: The text in the stem.
        form: What decides the compiled steps: the way it is stated and its units.
        numbers: The numbers in the text by their names in the chain.
        working: The value in the working unit by the default equivalences; None for text and clock times.
    """

    name: str
    text: str
    form: tuple[str, ...]
    numbers: tuple[tuple[str, Fraction | str], ...]
    working: Fraction | None


def read_stated(given: GivenModel, text: str, use: Mapping[str, Fraction] | None = None) -> Stated:
    """Return what a text states of a given.

    Args:
        given: The given.
        text: For example "500 mL", "800 mg in 500 mL", "1:1,000", "5%", "2315", "every 6 h".
        use: Values of equivalences other than the default.

    Raises:
        BadInput: The text is no such value, or measures something else.
    """
    text = " ".join(text.split())
    if not text or len(text) > MAX_TEXT:
        raise BadInput(fact("errors_models.length_of_value", name=given.name, most=MAX_TEXT))
    if given.kind == "text":
        if markup := markup_in(text):
            raise BadInput(fact("errors_models.markup_in_value", name=given.name, markup=markup))
        return Stated(given.name, text, (), ((given.name, text),), None)
    if given.kind == "mixture" and _OTHER_PERCENT.search(text):
        raise _unfit(given, text, fact("errors_models.another_percentage"))
    try:
        return _read(given, text, use or {})
    except BadInput as error:
        wrong = fact("errors_models.no_range_here") if range_form(text) else error.what
        if given_kinds()[given.kind].one_dose and _OF_A_DAY.search(text):
            wrong = _SHARE_IT
        raise _unfit(given, text, wrong) from None


def _read(given: GivenModel, text: str, use: Mapping[str, Fraction]) -> Stated:
    if given.kind == "clock":
        return _clock(given, text)
    if given.kind == "date":
        day = read_date(text)
        return Stated(given.name, date_text(day), (), ((given.name, Fraction(day.toordinal())),), None)
    kind = given_kinds()[given.kind]
    context = OrderContext(frozenset(kind.spoken), str(given.unit), kind.bare or _named_alone(given), kind.drug_first)
    try:
        value = read_order_value(text, context)
    except Unreadable as error:
        raise BadInput(error.why) from None
    return _from_order(given, value, use)


def _named_alone(given: GivenModel) -> bool:
    """Whether a number alone is a length of time in the working unit: an age in years, a time in seconds."""
    return given.kind == "duration" and str(given.unit) in ("yr", "mo", "day", "s")


def _clock(given: GivenModel, text: str) -> Stated:
    """A time of day; read as an answer is where it isn't written in four digits."""
    try:
        time = parse_clock(text.replace(":", ""))
    except BadInput:
        found = read_answer(text, "clock", context=Context(ordered=True))
        if not isinstance(found, Reading) or found.clock is None:
            raise
        minutes, days = found.clock
        time = ClockTime(minutes, days or 0)
    return Stated(given.name, time.write(), (), ((given.name, Fraction(time.total)),), None)


def _unfit(given: GivenModel, text: str, wrong: Fact) -> BadInput:
    """What is said of a text that states no value of a given."""
    like = examples(given) or (f"2 {given.unit}",)
    return BadInput(fact("errors_models.no_value", name=given.name, text=text, wrong=wrong, examples=like))


def examples(given: GivenModel) -> tuple[str, ...]:
    """Return a few texts that state a value of a given, those in its working unit first."""
    return _examples_of(ByIdentity(given))


@lru_cache(maxsize=1024)
def _examples_of(key: ByIdentity[GivenModel]) -> tuple[str, ...]:
    given = key.record
    fitting: list[tuple[bool, str]] = []
    for text in given_kinds()[given.kind].examples:
        with suppress(BadInput):
            found = _read(given, text, {})
            fitting.append((found.form[-1:] != (str(given.unit),), text))
    return tuple(text for _, text in sorted(fitting, key=lambda one: one[0])[:MOST_EXAMPLES])


def read_own(given: GivenModel, text: str, use: Mapping[str, Fraction] | None = None) -> Stated:
    """Return what one of the model's own texts states; a bare number is one in the working unit.

    Args:
        given: The given.
        text: One of the texts that the model lists.
        use: Values of equivalences other than the default.

    Raises:
        BadInput: The text is no such value.
    """
    found = _read_own(ByIdentity(given), text, tuple(sorted((use or {}).items())))
    if isinstance(found, Fact):
        raise BadInput(found)
    return found


@lru_cache(maxsize=8192)
def _read_own(key: ByIdentity[GivenModel], text: str, use: tuple[tuple[str, Fraction], ...]) -> Stated | Fact:
    """What the text states, or why it can't be read: every draw of a model asks for the same texts."""
    given = key.record
    if given.unit is not None and given.unit.powers and text.replace(".", "").replace(",", "").isdigit():
        text = f"{text} {given.unit}"
    try:
        return read_stated(given, text, dict(use))
    except BadInput as error:
        return error.what


def _from_order(given: GivenModel, found: OrderValue, use: Mapping[str, Fraction]) -> Stated:
    assert given.unit is not None
    first = found.amounts[0]
    if found.form is Form.PERCENT:
        return percent(given, first.value)
    if found.form is Form.RATIO:
        return ratio(given, first.value)
    if found.form is Form.EVERY_HOURS:
        return every_hours(given, first.value)
    if found.volume is not None:
        return amount_in_volume(given, first, found.volume)
    value, unit = _added_up(given, found.amounts)
    unit = _of_one_dose(_without_doses(unit, given.unit), given)
    if given.forms == (EVERY_HOURS,) and value > 0 and (24 / value).denominator == 1 and str(unit) == "dose/day":
        return every_hours(given, 24 / value)
    factor = bridge_factor(unit, given.unit, use)
    if factor is None:
        raise BadInput(
            fact("errors_models.value_in", unit=str(unit)) if unit.powers else fact("errors_models.value_without_unit")
        )
    if value < 0 and not given_kinds()[given.kind].negative:
        raise BadInput(fact("errors_models.number_above_zero"))
    if value == 0 and not given_kinds()[given.kind].zero and str(given.unit) != "oz":  # 7 lb and 0 oz
        raise BadInput(fact("errors_models.number_above_zero"))
    return in_unit(given, value, unit, factor)


def _added_up(given: GivenModel, amounts: tuple[Amount, ...]) -> tuple[Fraction, Unit]:
    """A number with its unit; several that add up, such as 1 h 30 min, in the last unit."""
    (value, unit), *smaller = [(one.value, parse_unit(one.unit, given.kind if one.unit else None)) for one in amounts]
    for part, below in smaller:
        factor = bridge_factor(unit, below, {})
        if factor is None or factor <= 1:
            raise BadInput(fact("errors_models.no_number_with_unit"))
        value, unit = value * factor + part, below
    return value, unit


def _without_doses(unit: Unit, wanted: Unit) -> Unit:
    """“mg/kg/dose” where mg/kg is asked, and the reverse: per dose need not be said."""
    if unit == wanted:
        return unit
    surplus = (unit / wanted).dimension
    if surplus == (("doses", -1),) or surplus == (("doses", 1),):
        return unit * parse_unit("dose") ** (-dict(surplus)["doses"])
    return unit


def _of_one_dose(unit: Unit, given: GivenModel) -> Unit:
    """Refuse “90 mg/kg/day” where one dose is asked: how many doses share the amount of a day, it doesn't say."""
    assert given.unit is not None
    surplus = (unit / given.unit).dimension == (("time", -1),) and ("day", -1) in unit.powers
    if given_kinds()[given.kind].one_dose and surplus:
        raise BadInput(_SHARE_IT)
    return unit


_SHARE_IT = fact("errors_models.amount_of_a_day")
_OF_A_DAY = re.compile(r"(?i)(?:/|\bper |\ba |\bin )(?:day|d|24 ?(?:h|hrs?|hours?))\b|\bdaily\b")


_OTHER_PERCENT = re.compile(
    r"(?i)(?:%|\bpercent\b)\W*(?:v ?/ ?v|w ?/ ?w|m ?/ ?m|v ?/ ?w|vol(?:ume)? ?(?:/|in|per) ?vol(?:ume)?|"
    r"(?:wt|weight|mass) ?(?:/|in|per) ?(?:wt|weight|mass)|by (?:vol(?:ume)?|weight|mass)|abv)\b"
)
"""A percentage that isn't grams in 100 mL: volume in volume, or weight in weight."""


def in_unit(given: GivenModel, value: Fraction, unit: Unit, factor: Fraction) -> Stated:
    """Return a given stated as a number with one unit; `factor` leads to the working unit."""
    assert given.unit is not None
    name = given.name if unit == given.unit else f"{given.name}.stated"
    written = _in_fractions if FRACTION in _forms(given) else _written
    return Stated(given.name, written(value, str(unit)), ("unit", str(unit)), ((name, value),), value * factor)


def _forms(given: GivenModel) -> tuple[str, ...]:
    return given.forms if isinstance(given.forms, tuple) else ()


def percent(given: GivenModel, value: Fraction) -> Stated:
    """Return a mixture stated in percent, weight in volume."""
    assert given.unit is not None
    factor = bridge_factor(parse_unit("g/mL"), given.unit, {})
    if factor is None:
        raise BadInput(fact("errors_models.percent_strength"))
    working = value * PERCENT_STRENGTH * factor
    return Stated(given.name, _written(value, "%"), (PERCENT,), ((f"{given.name}.stated", value),), working)


def ratio(given: GivenModel, parts: Fraction) -> Stated:
    """Return a mixture stated as 1 g in so many mL."""
    assert given.unit is not None
    factor = bridge_factor(parse_unit("g/mL"), given.unit, {})
    if factor is None or parts <= 0:
        raise BadInput(fact("errors_models.ratio_strength"))
    text = f"1:{_written(parts, '')}"
    return Stated(given.name, text, (RATIO,), ((f"{given.name}.stated", parts),), factor / parts)


def every_hours(given: GivenModel, hours: Fraction) -> Stated:
    """Return a frequency stated as “every 6 h”."""
    assert given.unit is not None
    factor = bridge_factor(parse_unit("dose/h"), given.unit, {})
    if factor is None or hours <= 0:
        raise BadInput(fact("errors_models.every_hours"))
    text = f"every {_written(hours, 'h')}"
    return Stated(given.name, text, (EVERY_HOURS,), ((f"{given.name}.stated", hours),), factor / hours)


def amount_in_volume(given: GivenModel, amount: Amount, volume: Amount) -> Stated:
    """Return a mixture stated as an amount of drug in a volume."""
    assert given.unit is not None
    drug, drug_unit = amount.value, parse_unit(amount.unit, "drug_amount")
    mixed, volume_unit = volume.value, parse_unit(volume.unit, "volume")
    unit = drug_unit / volume_unit
    factor = bridge_factor(unit, given.unit, {})
    if factor is None or drug <= 0 or mixed <= 0:
        raise BadInput(fact("errors_models.no_amount_in_volume"))
    if mixed == 1:
        return in_unit(given, drug, unit, factor)
    text = f"{write_quantity(drug, str(drug_unit))} in {write_quantity(mixed, str(volume_unit))}"
    numbers = ((f"{given.name}.amount", drug), (f"{given.name}.volume", mixed))
    working = drug / mixed * factor
    return Stated(given.name, text, (AMOUNT_IN_VOLUME, str(drug_unit), str(volume_unit)), numbers, working)


def restated(given: GivenModel, stated: Stated, form: str) -> Stated | None:
    """Return the same value stated in another form; None where it would not be a short number.

    A form that needs a convention such as 2.2 lb/kg is rounded to a whole number: a scale shows no more.
    """
    assert given.unit is not None
    value = stated.working
    if value is None:
        return stated
    if form in (AMOUNT_IN_VOLUME, FRACTION):
        return stated
    if form == EVERY_HOURS:
        per_hour = bridge_factor(given.unit, parse_unit("dose/h"), {})
        return _if_short(every_hours(given, 1 / (value * (per_hour or 1))), whole=True)
    if form in (PERCENT, RATIO):
        grams = value * (bridge_factor(given.unit, parse_unit("g/mL"), {}) or 1)
        return _if_short(percent(given, grams * 100)) if form == PERCENT else _if_short(ratio(given, 1 / grams), True)
    if stated.form == ("unit", form) and form == str(given.unit) and given.kind != "duration":
        return _if_short(stated)
    unit = given.unit if form == PER_ML else parse_unit(form, given.kind)
    if form == PER_ML and stated.form[0] == AMOUNT_IN_VOLUME:
        unit = parse_unit(stated.form[1], "drug_amount") / parse_unit("mL")
    factor = bridge_factor(given.unit, unit, {})
    if factor is None:
        raise BadInput(fact("errors_models.form_does_not_fit", name=given.name, form=form, unit=str(given.unit)))
    number = value * factor
    if any(not equivalences()[name].definition for name, _ in bridge(given.unit, unit) or ()):
        number = Fraction((number + Fraction(1, 2)).__floor__())
        return in_unit(given, number, unit, 1 / factor) if number > 0 else None
    own_steps = unit == given.unit and (isinstance(given.draw, Grid) or _forms(given) in ((), (str(unit),)))
    if given.kind == "duration" and str(unit) == "h" and (number * 4).denominator != 1 and not own_steps:
        return None  # nobody orders 0.35 h; 21 min is said
    return _if_short(in_unit(given, number, unit, 1 / factor))


def _if_short(stated: Stated, whole: bool = False) -> Stated | None:
    """The statement if its numbers are such as a label or an order prints."""
    return stated if all(isinstance(v, str) or _short(v, whole) for _, v in stated.numbers) else None


def _in_fractions(value: Fraction, unit: str) -> str:
    """“3/4 cup”, “1 1/2 cups”: as cups, spoons and strengths are said; fifths and the like as decimals."""
    whole, rest = divmod(value, 1)
    if not rest or value < 0 or rest.denominator not in SAID_FRACTIONS:
        return _written(value, unit)
    number = f"{whole} {rest}" if whole else str(rest)
    return f"{number} {write_unit(unit, one=not whole)}".strip()


def _written(value: Fraction, unit: str) -> str:
    try:
        return write_quantity(value, unit)
    except BadInput:
        if 0 < value < 1 and value.denominator < MOST_BELOW:
            return f"{value} {unit}".strip()  # as a label prints it, and exact when it is read again
        return write_quantity(value, unit, 4)


@lru_cache(maxsize=8192)
def _short(value: Fraction, whole: bool) -> bool:
    if whole:
        return value.denominator == 1
    try:
        decimals = decimals_of(value)
    except BadInput:
        return False
    digits = len(str(abs(value.numerator * 10**decimals // value.denominator)).rstrip("0"))
    return digits <= 4 and (decimals <= 3 or (digits <= 2 and decimals <= 4))


def clock_text(minutes: Fraction) -> str:
    """Return minutes after midnight of the first day as a 24-hour time."""
    day, rest = divmod(int(minutes), 1440)
    return ClockTime(rest, day).write()


def fits(given: GivenModel) -> bool:
    """Return whether the working unit measures what the kind says.

    Raises:
        BadInput: The kind is unknown.
    """
    return given.unit is not None and given.unit.dimension in kind_dimensions(given.kind)
