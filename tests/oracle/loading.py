"""Loading doses with the infusions that follow, and limits of strength and speed."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, NUMBER, found, product, to_step
from calclib.demo.students.procedures.choices import choose, greatest, least, whole_ones
from calclib.demo.students.procedures.clock import CLOCK, TIME, clock_after, clock_read, hours_read, minutes_of
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

TENTH = Decimal("0.1")
ON_HAND = rf"On hand: .*?{STRENGTH}"


def magnesium(stem: str, sheet: Worksheet) -> None:
    """A load and its rate, the rate that follows, the drug in all, and whether that is above the maximum."""
    load, time, have, hourly = found(rf"Order: .*? {NUMBER} g IV over {TIME}, then {NUMBER} g/h", stem)
    hours, most = found(rf"infusion runs for {NUMBER} h\..*? not more than {NUMBER} g in 24 h", " ".join(stem.split()))
    strength = strength_read(sheet, *found(ON_HAND, stem))
    first, each = sheet.read(load, "load"), sheet.read(hourly, "dose an hour")
    volume = sheet.answer("volume", volume_for(sheet, sheet.converted(first, "g", strength.unit, "load"), strength))
    sheet.answer("load", sheet.over(volume, hours_read(sheet, time, have), "time of the load"))
    sheet.answer("maintenance", volume_for(sheet, sheet.converted(each, "g", strength.unit, "dose an hour"), strength))
    rest = sheet.times(each, sheet.read(hours, "hours"), "hours")
    total = sheet.answer("total", sheet.total([("load", first), ("maintenance", rest)]))
    choose(sheet, "verdict", ("Not", "More"), int(total > sheet.read(most, "maximum")))


def two_rates(stem: str, sheet: Worksheet) -> None:
    """Two rates one after the other, when the first ends, and the drug in all."""
    amount, unit, volume = found(rf"IV from {STRENGTH}", stem)
    first, have, per, time, second, _, _, rest, start = found(
        rf", {NUMBER} {DRUG}/(h|min) for {NUMBER} h, then {NUMBER} {DRUG}/(h|min) for {NUMBER} h\. Start: {CLOCK}", stem
    )
    strength = strength_read(sheet, amount, unit, volume)
    doses = [sheet.read(first, "first dose"), sheet.read(second, "second dose")]
    doses = [sheet.converted(dose, "h", per, "dose a minute") for dose in doses]
    hours = [sheet.read(time, "first time"), sheet.read(rest, "second time")]
    for part, dose in zip(("first", "second"), doses, strict=True):
        sheet.answer(part, volume_for(sheet, sheet.converted(dose, have, strength.unit, "dose"), strength))
    clock_after(sheet, "change", clock_read(start), product(hours[0], Decimal(60)))
    terms = [(f"{name} rate", sheet.times(dose, time, f"{name} time"))
             for name, dose, time in zip(("first", "second"), doses, hours, strict=True)]  # fmt: skip
    sheet.answer("total", sheet.total(terms))


def dexmedetomidine(stem: str, sheet: Worksheet) -> None:
    """The mL and mL/h of a load by weight, and the mL/h that follow."""
    load, have, time, unit, hourly = found(rf"{NUMBER} {DRUG}/kg IV over {TIME}, then {NUMBER} (?:mcg|mg)/kg/h", stem)
    weight, strength = weight_in_kg(sheet, stem), strength_read(sheet, *found(ON_HAND, stem))
    amount = sheet.times(sheet.read(load, "load"), weight, "weight")
    volume = volume_for(sheet, sheet.converted(amount, have, strength.unit, "load"), strength)
    volume = sheet.rounded("volume", sheet.answer("volume", volume))
    sheet.answer("load", sheet.over(volume, hours_read(sheet, time, unit), "time of the load"))
    hour = sheet.times(sheet.read(hourly, "dose"), weight, "weight again")
    sheet.answer("rate", volume_for(sheet, sheet.converted(hour, have, strength.unit, "dose"), strength))


def bolus_then_infusion(stem: str, sheet: Worksheet) -> None:
    """The mg and mL of a bolus, the mL/h that follow, and the bags of a day."""
    bolus, have, dose, unit, bag = found(
        rf"{NUMBER} {DRUG}/kg IV bolus, then {NUMBER} {DRUG}/kg/min IV\. .* in bags of {NUMBER} mL", stem
    )
    weight, strength = weight_in_kg(sheet, stem), strength_read(sheet, *found(ON_HAND, stem))
    amount = sheet.converted(sheet.times(sheet.read(bolus, "bolus"), weight, "weight"), have, "mg", "bolus")
    amount = sheet.rounded("amount", sheet.answer("amount", amount))
    volume = volume_for(sheet, sheet.converted(amount, "mg", strength.unit, "amount"), strength)
    volume = sheet.answer("volume", volume)
    hour = sheet.converted(sheet.times(sheet.read(dose, "dose"), weight, "weight again"), "h", "min", "dose a minute")
    rate = sheet.answer("rate", volume_for(sheet, sheet.converted(hour, unit, strength.unit, "dose"), strength))
    day = sheet.times(sheet.rounded("rate", rate), Decimal(24), "hours")
    total = sheet.total([("infusion", day), ("bolus", sheet.rounded("volume", volume))])
    sheet.answer("bags", whole_ones(sheet, sheet.over(total, sheet.read(bag, "bag"), "bag"), "bags"))


def limits(stem: str, sheet: Worksheet) -> None:
    """How strong and how fast an infusion is, and whether that is too much."""
    text, have, volume, time, unit = found(rf"Order: .*? {NUMBER} {DRUG} in {NUMBER} mL IV over {TIME}", stem)
    strong, fast = found(rf"not above {NUMBER} mg/mL, given not faster than {NUMBER} mg/min", stem)
    amount = sheet.converted(sheet.read(text, "order"), have, "mg", "order")
    strength = sheet.answer("strength", sheet.over(amount, sheet.read(volume, "volume"), "volume"))
    choose(sheet, "strong", ("Not", "Too"), int(strength > sheet.read(strong, "greatest strength")))
    minutes = sheet.converted(sheet.read(time, "time"), unit, "min", "time")
    speed = sheet.answer("speed", sheet.over(amount, minutes, "time"))
    choose(sheet, "fast", ("Not", "Too"), int(speed > sheet.read(fast, "greatest speed")))


def shortest_time(stem: str, sheet: Worksheet) -> None:
    """The shortest time for a dose, and the mL/h that keep to it."""
    text, have, volume = found(rf"Order: .*? {NUMBER} {DRUG} IV in {NUMBER} mL", stem)
    speed, floor = found(rf"not faster than {NUMBER} mg/min, and over at least {NUMBER} min", stem)
    amount = sheet.converted(sheet.read(text, "order"), have, "mg", "order")
    minutes = sheet.over(amount, sheet.read(speed, "greatest speed"), "greatest speed")
    minutes = greatest(sheet, minutes, sheet.read(floor, "least time"), "least time")
    minutes = sheet.rounded("time", sheet.answer("time", minutes))
    hours = sheet.converted(minutes, "min", "h", "time")
    sheet.answer("rate", sheet.over(sheet.read(volume, "volume"), hours, "time"))


def least_volume(stem: str, sheet: Worksheet) -> None:
    """The least mL and the shortest time for a dose."""
    text, have = found(rf"Order: .*? {NUMBER} {DRUG} IV", stem)
    strength, speed = found(rf"not above {NUMBER} mg/mL, not faster than {NUMBER} mg/min", stem)
    amount = sheet.converted(sheet.read(text, "order"), have, "mg", "order")
    sheet.answer("volume", sheet.over(amount, sheet.read(strength, "greatest strength"), "greatest strength"))
    sheet.answer("time", sheet.over(amount, sheet.read(speed, "greatest speed"), "greatest speed"))


def potassium(stem: str, sheet: Worksheet) -> None:
    """The greatest mEq/h for a patient, its mL/h, and how long the dose then takes."""
    text, each, by_weight, most = found(
        rf"Order: .*? {NUMBER} mEq IV .*? {NUMBER} mEq/mL; .*? {NUMBER} mEq/kg/h .*? {NUMBER} mEq/h", stem
    )
    hour = sheet.times(sheet.read(by_weight, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    speed = least(sheet, hour, sheet.read(most, "maximum"), "maximum")
    speed = sheet.answer("speed", speed)
    sheet.answer("rate", sheet.over(speed, sheet.read(each, "strength"), "strength"))
    sheet.answer("time", minutes_of(sheet, sheet.over(sheet.read(text, "order"), speed, "greatest speed")))


def sepsis(stem: str, sheet: Worksheet) -> None:
    """A child's weight, a dose by it, its mL, and the rate and end of the infusion."""
    dose, have = found(rf"Order: .*? {NUMBER} {DRUG}/kg IV", stem)
    made, time, unit, start = found(rf"made up to {NUMBER} mL .*? over {TIME}, starting at {CLOCK}", stem)
    text, weight_unit = found(rf"weighs {NUMBER} (lb|kg)\b", stem)
    strength = strength_read(sheet, *found(ON_HAND, stem))
    weight = sheet.answer("weight", sheet.converted(sheet.read(text, "weight"), weight_unit, "kg", "weight"))
    amount = sheet.times(sheet.read(dose, "dose for each kg"), to_step(weight, TENTH), "weight")
    amount = sheet.answer("amount", sheet.converted(amount, have, "mg", "dose"))
    dose_held = sheet.converted(sheet.rounded("amount", amount), "mg", strength.unit, "amount")
    sheet.answer("volume", volume_for(sheet, dose_held, strength))
    hours = hours_read(sheet, time, unit)
    whole = sheet.read(made, "volume in all")
    if sheet.slips("diluent-for-final-volume", "volume in all") is not None:
        drug = sheet.answers["volume"]
        whole = DIGITS.add(whole, drug) if isinstance(drug, Decimal) else whole
    sheet.answer("rate", sheet.over(whole, hours, "time"))
    clock_after(sheet, "end", clock_read(start), product(hours, Decimal(60)))
