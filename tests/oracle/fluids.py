"""Fluids of children and of burned patients, intake and output, feeding."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, number, product, quotient, to_step
from calclib.demo.students.procedures.choices import choose, side
from calclib.demo.students.procedures.clock import (
    CLOCK,
    TIME,
    clock_after,
    clock_read,
    hours_read,
    minutes_between,
)
from calclib.demo.students.procedures.weights import fluid_by_bands, maintenance, weight_in_kg
from calclib.demo.students.worksheet import Worksheet
from tests.oracle.mixtures import in_hundred

TEN, HALF = Decimal(10), Decimal(2)


def fever(stem: str, sheet: Worksheet) -> None:
    """Maintenance fluid of a day without and with a fever, and the mL/h."""
    shown, from_ = found(rf"temperature of {NUMBER} degrees C.*? above {NUMBER} degrees C", stem)
    daily = sheet.answer("daily", maintenance(stem, sheet, "day"))
    degrees = sheet.less(sheet.read(shown, "temperature"), number(from_), "normal temperature")
    more = sheet.times(quotient(daily, TEN), degrees, "degrees")
    total = sheet.answer("total", sheet.total([("daily", daily), ("fever", more)]))
    sheet.answer("rate", sheet.converted(total, "h", "day", "daily volume"))


def deficit(stem: str, sheet: Worksheet) -> None:
    """A deficit by weight and percent, and the fluid of two phases."""
    (percent,) = found(rf"is {NUMBER}% dehydrated", stem)
    each, first, rest = found(rf"counts {NUMBER} mL for each kg .*? runs in {NUMBER} h, .*? over the {NUMBER} h", stem)
    by_kg = sheet.times(sheet.read(each, "mL for each kg"), weight_in_kg(sheet, stem), "weight")
    missing = sheet.answer("deficit", sheet.times(by_kg, sheet.read(percent, "percent"), "percent"))
    hourly = maintenance(stem, sheet, "h")
    half = sheet.over(missing, HALF, "half")
    for part, time in (("first", first), ("second", rest)):
        run = sheet.times(hourly, sheet.read(time, f"{part} time"), f"{part} time")
        sheet.answer(part, sheet.total([(f"{part} half", half), (f"{part} maintenance", run)]))


def glucose(stem: str, sheet: Worksheet) -> None:
    """The g of glucose an hour, and the mg/kg/min."""
    percent, rate = found(rf"dextrose {NUMBER}% at {NUMBER} mL/h", stem)
    weight, have = found(rf"weighs {NUMBER} (kg|g)\b", stem)
    grams = sheet.times(in_hundred(sheet, percent, "strength"), sheet.read(rate, "rate"), "rate")
    grams = sheet.answer("hourly", grams)
    minute = sheet.converted(sheet.converted(grams, "g", "mg", "g an hour"), "min", "h", "mg an hour")
    kilograms = sheet.converted(sheet.read(weight, "weight"), have, "kg", "weight")
    sheet.answer("each", sheet.over(minute, kilograms, "weight"))


def _burn(sheet: Worksheet, each: str, weight: Decimal, burnt: Decimal, name: str) -> Decimal:
    return sheet.times(sheet.times(sheet.read(each, name), weight, f"weight, {name}"), burnt, f"percent, {name}")


def burn_bounds(stem: str, sheet: Worksheet) -> None:
    """The mL of a day by two formulas, the first mL/h by the smaller, and when the first hours end."""
    start, area = found(rf"burned at {CLOCK}; {NUMBER}% TBSA", stem)
    low, high, time = found(rf"is {NUMBER} mL for each kg .*? and {NUMBER} mL by .*? in the first {NUMBER} h", stem)
    weight, burnt = weight_in_kg(sheet, stem), sheet.read(area, "percent burnt")
    least = sheet.answer("least", _burn(sheet, low, weight, burnt, "smaller factor"))
    sheet.answer("most", _burn(sheet, high, weight, burnt, "larger factor"))
    hours = sheet.read(time, "time")
    sheet.answer("rate", sheet.over(sheet.over(least, HALF, "half"), hours, "time"))
    clock_after(sheet, "until", clock_read(start), product(hours, Decimal(60)))


def burn_late(stem: str, sheet: Worksheet) -> None:
    """The mL of a day, the mL/h that catch up, and those that follow."""
    start, area, now = found(rf"burned at {CLOCK}; {NUMBER}% TBSA .*? now {CLOCK}", stem)
    each, first, rest = found(
        rf"{NUMBER} mL for each kg .*? half of it by {NUMBER} h after the burn, .*? next {NUMBER} h", stem
    )
    total = _burn(sheet, each, weight_in_kg(sheet, stem), sheet.read(area, "percent burnt"), "factor")
    half = sheet.over(sheet.answer("total", total), HALF, "half")
    past = sheet.converted(minutes_between(sheet, start, now), "min", "h", "time lost")
    left = sheet.less(sheet.read(first, "first time"), past, "time lost")
    sheet.answer("rate", sheet.over(half, left, "time left"))
    sheet.answer("later", sheet.over(half, sheet.read(rest, "second time"), "second time"))


def burn_rule_of_ten(stem: str, sheet: Worksheet) -> None:
    """The mL/h by the rule of ten, and whether it lies between two formulas."""
    area, each, limit, more = found(
        rf"{NUMBER}% TBSA .*? then give {NUMBER} mL/h for each percent; above {NUMBER} kg, add {NUMBER} mL/h", stem
    )
    low, high, time = found(rf"half of {NUMBER} mL, and half of {NUMBER} mL, .*? over {NUMBER} h", stem)
    weight, burnt = weight_in_kg(sheet, stem), sheet.read(area, "percent burnt")
    terms = [("percent", sheet.times(to_step(burnt, TEN), sheet.read(each, "mL/h for each percent"), "percent"))]
    if weight > number(limit):
        above = sheet.less(weight, number(limit), "limit of the weight")
        terms.append(("weight above", sheet.times(above, sheet.read(more, "mL/h for each kg"), "mL/h for each kg")))
    rate = sheet.answer("rate", sheet.total(terms))
    ends = []
    for text, name in ((low, "smaller factor"), (high, "larger factor")):
        half = sheet.over(_burn(sheet, text, weight, burnt, name), HALF, f"half, {name}")
        ends.append(sheet.over(half, sheet.read(time, "time"), f"time, {name}"))
    least = sheet.answer("least", ends[0])
    choose(sheet, "verdict", ("Less", "Between", "More"), side(rate, least, ends[1]))


def urine(stem: str, sheet: Worksheet) -> None:
    """The mL/kg/h of urine, and whether to call."""
    volume, time, have, limit = found(
        rf"had {NUMBER} mL of urine in the last {TIME}.*? less than {NUMBER} mL/kg/h", stem
    )
    hour = sheet.over(sheet.read(volume, "urine"), hours_read(sheet, time, have), "time")
    output = sheet.answer("output", sheet.over(hour, weight_in_kg(sheet, stem), "weight"))
    choose(sheet, "verdict", ("Call", "Go"), int(output >= sheet.read(limit, "limit")))


def balance(stem: str, sheet: Worksheet) -> None:
    """Intake, output, and the difference."""
    taken, given = found(r"In: (.*?)\. Out: (.*?)\. ", stem)
    sums = []
    for part, text in (("intake", taken), ("output", given)):
        terms = []
        for amount, have, what in re.findall(rf"{NUMBER} (cup|oz|mL)s? (?:of |from the )([^,]+)", text):
            terms.append((what, sheet.converted(sheet.read(amount, what), have, "mL", what)))
        sums.append(sheet.answer(part, sheet.total(terms)))
    sheet.answer("balance", sheet.less(sums[0], sums[1], "output"))


def feeding_day(stem: str, sheet: Worksheet) -> None:
    """Formula, formula with water, and kcal of a day."""
    rate, start, end, energy, water, every = found(
        rf"at {NUMBER} mL/h from {CLOCK} to {CLOCK} .*? {NUMBER} kcal/mL, and {NUMBER} mL of water every {NUMBER} h",
        stem,
    )
    hours = sheet.converted(minutes_between(sheet, start, end), "min", "h", "time")
    formula = sheet.answer("formula", sheet.times(hours, sheet.read(rate, "rate"), "rate"))
    times = sheet.over(Decimal(24), sheet.read(every, "interval"), "interval")
    flushes = sheet.times(sheet.read(water, "water"), times, "times")
    sheet.answer("fluid", sheet.total([("formula", formula), ("water", flushes)]))
    sheet.answer("kcal", sheet.times(formula, sheet.read(energy, "kcal for each mL"), "kcal for each mL"))


def _scale(stem: str, sheet: Worksheet) -> Decimal:
    text, have = found(rf"scale shows {NUMBER} (lb|kg)\b", stem)
    weight = sheet.answer("kilograms", sheet.converted(sheet.read(text, "weight"), have, "kg", "weight"))
    return sheet.rounded("kilograms", weight)


def child_with_fever(stem: str, sheet: Worksheet) -> None:
    """A child's weight, a dose by it with its mL and the most for a day, and maintenance fluid."""
    dose, count, strength = found(
        rf"{NUMBER} mg/kg by mouth .*? not more than {NUMBER} doses in 24 h; .*? {NUMBER} mg/mL", stem
    )
    weight = _scale(stem, sheet)
    amount = sheet.answer("amount", sheet.times(sheet.read(dose, "dose for each kg"), weight, "weight"))
    sheet.answer("volume", sheet.over(amount, sheet.read(strength, "strength"), "strength"))
    sheet.answer("most", sheet.times(amount, sheet.read(count, "doses"), "doses"))
    sheet.answer("rate", fluid_by_bands(stem, sheet, weight, "h"))


def burned_patient(stem: str, sheet: Worksheet) -> None:
    """A weight, the mL of a day, until when the first half runs and how fast, and whether the urine is enough."""
    area, start, now, each, first = found(
        rf"{NUMBER}% TBSA .*? burn was at {CLOCK}; .*? started at {CLOCK}\. Order: {NUMBER} mL .*? by {NUMBER} h after",
        stem,
    )
    limit, time, volume = found(rf"less than {NUMBER} mL/kg/h\. In the first {NUMBER} h .*? {NUMBER} mL of urine", stem)
    weight = _scale(stem, sheet)
    total = sheet.answer("total", _burn(sheet, each, weight, sheet.read(area, "percent burnt"), "factor"))
    hours = sheet.read(first, "first time")
    clock_after(sheet, "until", clock_read(start), product(hours, Decimal(60)))
    past = sheet.converted(minutes_between(sheet, start, now), "min", "h", "time lost")
    left = sheet.less(hours, past, "time lost")
    sheet.answer("rate", sheet.over(sheet.over(total, HALF, "half"), left, "time left"))
    hour = sheet.over(sheet.read(volume, "urine"), sheet.read(time, "time of the urine"), "time of the urine")
    output = sheet.over(hour, weight, "weight again")
    choose(sheet, "verdict", ("Call", "Go"), int(output >= sheet.read(limit, "limit")))


def bladder_irrigation(stem: str, sheet: Worksheet) -> None:
    """The irrigation fluid of a shift, and the urine that the drainage holds beside it."""
    count, bag, have, left = found(rf"hung: {NUMBER} of {NUMBER} (mL|L) each; {NUMBER} mL is left", stem)
    drained = found(rf"three times: {NUMBER} mL, {NUMBER} mL and {NUMBER} mL", stem)
    each = sheet.converted(sheet.read(bag, "bag"), have, "mL", "bag")
    hung = sheet.times(each, sheet.read(count, "bags"), "bags")
    irrigation = sheet.answer("irrigation", sheet.less(hung, sheet.read(left, "left"), "left"))
    terms = [(f"drainage {at}", sheet.read(text, f"drainage {at}")) for at, text in enumerate(drained)]
    sheet.answer("urine", sheet.less(sheet.total(terms), sheet.rounded("irrigation", irrigation), "irrigation"))


def feeding_by_weight(stem: str, sheet: Worksheet) -> None:
    """The mL of a day by weight, and of one feeding."""
    each, hours = found(rf"{NUMBER} mL/kg/day by feeding tube, every {NUMBER} h", stem)
    weight, have = found(rf"weighs {NUMBER} (kg|g)\b", stem)
    kilograms = sheet.converted(sheet.read(weight, "weight"), have, "kg", "weight")
    day = sheet.answer("day", sheet.times(sheet.read(each, "mL/kg"), kilograms, "weight"))
    feedings = sheet.over(Decimal(24), sheet.read(hours, "hours"), "hours")
    sheet.answer("each", sheet.over(sheet.rounded("day", day), feedings, "feedings"))


def restriction(stem: str, sheet: Worksheet) -> None:
    """The IV fluid of a day, and what a limit leaves to drink."""
    limit, have, rate, trays, water, times = found(
        rf"at most {NUMBER} (mL|L) in 24 h, .*? at {NUMBER} mL/h .*? bring {NUMBER} mL, "
        rf".*? comes to {NUMBER} mL {NUMBER} times",
        stem,
    )
    most = sheet.converted(sheet.read(limit, "limit"), have, "mL", "limit")
    iv = sheet.answer("iv", sheet.converted(sheet.read(rate, "rate"), "day", "h", "rate"))
    left = sheet.less(most, sheet.rounded("iv", iv), "IV fluid")
    left = sheet.less(left, sheet.read(trays, "trays"), "trays")
    with_medicines = sheet.times(sheet.read(water, "water"), sheet.read(times, "times"), "times")
    sheet.answer("left", sheet.less(left, with_medicines, "water for medicines"))


NINES = {
    "the front of the trunk": "18",
    "the back of the trunk": "18",
    "the right half of the front of the trunk": "9",
    "the whole right arm": "9",
    "the front of the left arm": "4.5",
    "the front of the head and neck": "4.5",
    "the whole head and neck": "9",
    "the whole left leg": "18",
    "the front of the right leg": "9",
    "the perineum": "1",
    "the back of the left leg": "9",
    "both whole legs": "36",
}


def burned_regions(stem: str, sheet: Worksheet) -> None:
    """The burned percent by the rule of nines."""
    regions = found(r"burned on (.*?), on (.*?) and on (.*?)\. Rule", stem)
    terms = [(f"region {at}", sheet.read(NINES[region], f"region {at}")) for at, region in enumerate(regions)]
    sheet.answer("area", sheet.total(terms))
