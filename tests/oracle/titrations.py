"""Doses that a pump delivers, and rates that are raised step by step."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, quotient
from calclib.demo.students.procedures.choices import choose, side
from calclib.demo.students.procedures.clock import CLOCK, clock_after, clock_read, minutes_of
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, Strength, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet
from tests.oracle.mixtures import in_hundred

BY_WEIGHT = rf"{NUMBER} {DRUG}/kg/min"


def _strength(sheet: Worksheet, stem: str) -> Strength:
    return strength_read(sheet, *found(STRENGTH, stem))


def _speed(sheet: Worksheet, stem: str) -> Decimal:
    return sheet.read(found(rf"at {NUMBER} mL/h", stem)[0], "rate")


def _hourly(sheet: Worksheet, stem: str, want: str) -> Decimal:
    """Return the drug an hour that a pump delivers."""
    strength = _strength(sheet, stem)
    return sheet.converted(drug_in(sheet, _speed(sheet, stem), strength), strength.unit, want, "dose")


def _rate(sheet: Worksheet, dose: Decimal, have: str, weight: Decimal, strength: Strength) -> Decimal:
    """Return the mL/h for a dose by weight and minute."""
    hour = sheet.converted(sheet.times(dose, weight, "weight"), "h", "min", "dose a minute")
    return volume_for(sheet, sheet.converted(hour, have, strength.unit, "dose"), strength)


def minute_dose(stem: str, sheet: Worksheet) -> None:
    """The mcg/min that a pump delivers; the weight stands there for nothing."""
    hour = _hourly(sheet, stem, "mcg")
    minute = sheet.converted(hour, "min", "h", "dose an hour")
    if sheet.slips("weight-not-asked-for", "weight") is not None:
        minute = quotient(minute, weight_in_kg(sheet, stem))
    sheet.answer("dose", minute)


def milligrams_a_minute(stem: str, sheet: Worksheet) -> None:
    """The mg/min that a pump delivers, and whether that lies within a range."""
    percent = re.search(rf"delivers [a-z -]+ {NUMBER}%", stem)
    if percent:
        grams = sheet.times(in_hundred(sheet, percent[1], "strength"), _speed(sheet, stem), "rate")
        hour = sheet.converted(grams, "g", "mg", "dose")
    else:
        hour = _hourly(sheet, stem, "mg")
    dose = sheet.answer("dose", sheet.converted(hour, "min", "h", "dose an hour"))
    low, high = found(rf"{NUMBER} mg/min to {NUMBER} mg/min", stem)
    at = side(dose, sheet.read(low, "low end"), sheet.read(high, "high end"))
    choose(sheet, "verdict", ("Below", "Within", "Above"), at)


def added_volume(stem: str, sheet: Worksheet) -> None:
    """The mL of a bag with the drug added, and the mL/h for a dose an hour."""
    amount, have, added, bag = found(rf"{NUMBER} {DRUG} \({NUMBER} mL\) is added to {NUMBER} mL", stem)
    dose, unit = found(rf"Order: {NUMBER} {DRUG}/h", stem)
    volume = sheet.read(bag, "bag")
    total = sheet.total([("bag", volume), ("added volume", sheet.read(added, "added volume"))])
    if sheet.slips("diluent-for-final-volume", "bag") is not None:
        total = volume
    total = sheet.answer("total", total)
    strength = Strength(sheet.read(amount, "amount of the strength"), have, total)
    hour = sheet.converted(sheet.read(dose, "dose"), unit, have, "dose")
    sheet.answer("rate", volume_for(sheet, hour, strength))


def hourly_dose(stem: str, sheet: Worksheet) -> None:
    """The drug an hour that a pump delivers, and when the bag is empty."""
    strength = _strength(sheet, stem)
    rate = _speed(sheet, stem)
    sheet.answer("dose", drug_in(sheet, rate, strength))
    if "empty" in sheet.asked:
        start, volume = found(rf"started at {CLOCK} and holds {NUMBER} mL", sheet.asked["empty"])
        minutes = minutes_of(sheet, sheet.over(sheet.read(volume, "bag"), rate, "rate"))
        clock_after(sheet, "empty", clock_read(start), minutes)


def weight_dose_an_hour(stem: str, sheet: Worksheet) -> None:
    """The mcg/h and mcg/kg/h that a pump delivers, and whether that lies within a range."""
    low, high = found(rf"{NUMBER} mcg/kg/h to {NUMBER} mcg/kg/h", stem)
    hour = sheet.answer("hourly", _hourly(sheet, stem, "mcg"))
    weight = weight_in_kg(sheet, stem)
    dose = sheet.over(hour, weight, "weight")
    sheet.answer("dose", dose)
    at = side(dose, sheet.read(low, "low end"), sheet.read(high, "high end"))
    choose(sheet, "verdict", ("Below", "Within", "Above"), at)


def oxytocin_steps(stem: str, sheet: Worksheet) -> None:
    """The dose after some steps, its mL/h, and when it is reached."""
    first, start, step, every, count = found(
        rf"start at {NUMBER} milliunits?/min at {CLOCK}, raise by {NUMBER} milliunits?/min every {NUMBER} min\. "
        rf".*? raised {NUMBER} times",
        stem,
    )
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    steps = sheet.read(count, "steps")
    raised = sheet.times(sheet.read(step, "step"), steps, "steps")
    dose = sheet.total([("first dose", sheet.read(first, "first dose")), ("steps", raised)])
    if sheet.slips("change-for-new-rate", "steps") is not None:
        dose = raised
    dose = sheet.answer("dose", dose)
    hour = sheet.converted(sheet.converted(dose, "milliunits", "units", "dose"), "h", "min", "dose a minute")
    sheet.answer("rate", volume_for(sheet, hour, strength))
    minutes = sheet.times(sheet.read(every, "interval"), steps, "steps of time")
    clock_after(sheet, "reached", clock_read(start), minutes)


def oxytocin_dose(stem: str, sheet: Worksheet) -> None:
    """The milliunits/min that a pump delivers, and the units in some hours."""
    (time,) = found(rf"mL/h for {NUMBER} h", stem)
    hour = _hourly(sheet, stem, "units")
    minute = sheet.converted(hour, "min", "h", "dose an hour")
    sheet.answer("dose", sheet.converted(minute, "units", "milliunits", "dose a minute"))
    sheet.answer("total", sheet.times(hour, sheet.read(time, "time"), "time"))


def one_step(stem: str, sheet: Worksheet) -> None:
    """The mL/h after the dose was raised or lowered by a step."""
    text, have = found(rf"runs at {BY_WEIGHT}", stem)
    way, change = found(rf"(raise|lower) the dose by {NUMBER} {DRUG}/kg/min", stem)[:2]
    now, step = sheet.read(text, "dose now"), sheet.read(change, "step")
    dose = sheet.total([("dose now", now), ("step", step)]) if way == "raise" else sheet.less(now, step, "step")
    if sheet.slips("change-for-new-rate", "step") is not None:
        dose = step
    sheet.answer("rate", _rate(sheet, dose, have, weight_in_kg(sheet, stem), _strength(sheet, stem)))


def table(stem: str, sheet: Worksheet) -> None:
    """The first rates of a table, and the greatest."""
    first, have, step, most = found(
        rf"start at {BY_WEIGHT}, raise by {NUMBER} (?:mcg|mg)/kg/min.*?not above {NUMBER} (?:mcg|mg)/kg/min", stem
    )
    weight, strength = weight_in_kg(sheet, stem), _strength(sheet, stem)
    low = sheet.read(first, "first dose")
    rise = sheet.read(step, "step")
    second = sheet.total([("first dose", low), ("step", rise)])
    if sheet.slips("change-for-new-rate", "step") is not None:
        second = rise
    for part, dose in (("first", low), ("next", second), ("maximum", sheet.read(most, "maximum"))):
        sheet.answer(part, _rate(sheet, dose, have, weight, strength))


def maximum_rate(stem: str, sheet: Worksheet) -> None:
    """The greatest mL/h allowed, and whether the pump is above it."""
    most, have = found(rf"maximum {BY_WEIGHT}", stem)
    dose = sheet.read(most, "maximum")
    greatest = sheet.answer("greatest", _rate(sheet, dose, have, weight_in_kg(sheet, stem), _strength(sheet, stem)))
    choose(sheet, "verdict", ("Not", "Above"), int(_speed(sheet, stem) > greatest))


def nominal_and_true(stem: str, sheet: Worksheet) -> None:
    """The rate by the volume that a bag is named after, the true concentration, and the dose really delivered."""
    drawn, bag = found(rf"{NUMBER} mL of .*? is added to {NUMBER} mL", stem)
    text, have = found(BY_WEIGHT, stem)
    stock = _strength(sheet, stem)
    added, volume, weight = sheet.read(drawn, "added volume"), sheet.read(bag, "bag"), weight_in_kg(sheet, stem)
    amount = sheet.converted(drug_in(sheet, added, stock), stock.unit, "mcg", "amount")
    named = sheet.over(amount, volume, "bag")
    minute = sheet.times(sheet.read(text, "dose"), weight, "weight")
    hour = sheet.converted(sheet.converted(minute, have, "mcg", "dose"), "h", "min", "dose a minute")
    rate = sheet.answer("rate", sheet.over(hour, named, "concentration named"))
    total = sheet.total([("bag", volume), ("added volume", added)])
    if sheet.slips("diluent-for-final-volume", "bag") is not None:
        total = volume
    true = sheet.answer("true", sheet.over(amount, total, "volume in all"))
    real = sheet.converted(sheet.times(rate, true, "true concentration"), "min", "h", "real dose an hour")
    sheet.answer("delivered", sheet.over(real, weight, "weight again"))


def vasopressor(stem: str, sheet: Worksheet) -> None:
    """The first rate, the dose after some steps, whether it is above the maximum, and its rate."""
    first, have, step = found(rf"Order: .*? {BY_WEIGHT} IV, raise by {NUMBER} (?:mcg|mg)/kg/min", stem)
    (count,) = found(rf"after {NUMBER} steps?", stem)
    (most,) = found(rf"not above {NUMBER} (?:mcg|mg)/kg/min", stem)
    weight, strength = weight_in_kg(sheet, stem), _strength(sheet, stem)
    low = sheet.read(first, "first dose")
    sheet.answer("first", _rate(sheet, low, have, weight, strength))
    raised = sheet.times(sheet.read(step, "step"), sheet.read(count, "steps"), "steps")
    dose = sheet.total([("first dose", low), ("steps", raised)])
    if sheet.slips("change-for-new-rate", "steps") is not None:
        dose = raised
    dose = sheet.answer("dose", dose)
    choose(sheet, "verdict", ("Not", "Above"), int(dose > sheet.read(most, "maximum")))
    sheet.answer("rate", _rate(sheet, dose, have, weight, strength))
