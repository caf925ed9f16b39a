"""Heparin and insulin: boluses, rates, and changes by a protocol."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, found, number, quotient
from calclib.demo.students.procedures.choices import choose, side, smallest, whole_ones
from calclib.demo.students.procedures.clock import CLOCK, clock_after, clock_read
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import STRENGTH, Strength, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

HUNDRED = Decimal(100)
MOST = Decimal(10) ** 9
EACH_ML = rf"{NUMBER} units?/mL"


def _row(sheet: Worksheet, stem: str) -> str:
    """Return the row of a protocol that an aPTT falls into."""
    aptt = number(found(rf"aPTT is {NUMBER} s", stem)[0])
    (protocol,) = found(r"Your unit.s protocol: (.*?(?:no change|[%a-z]));? ?(?=\.)", stem)
    rows = []
    for row in protocol.split(";"):
        ends = re.match(rf" ?(?:(below|above) {NUMBER} s|{NUMBER} s to {NUMBER} s)", row)
        if ends is None:
            raise NotUnderstoodError(f"{row!r} is no row of a protocol")
        way, limit, low, high = ends.groups()
        if way:
            rows.append((Decimal(0), number(limit) - 1, row) if way == "below" else (number(limit) + 1, MOST, row))
        else:
            rows.append((number(low), number(high), row))
    at = next(i for i, (low, high, _) in enumerate(rows) if low <= aptt <= high)
    if (way := sheet.slips("wrong-row", "protocol", 2)) is not None:
        at = min(max(at + (1, -1)[way], 0), len(rows) - 1)
    return rows[at][2]


def _changed(sheet: Worksheet, rate: Decimal, row: str) -> Decimal:
    """Return a rate after the change of a row."""
    change = re.search(rf"rate (up|down) by {NUMBER}%", row)
    if change is None:
        return rate
    part = sheet.times(rate, quotient(sheet.read(change[2], "percent"), HUNDRED), "percent")
    if sheet.slips("change-for-new-rate", "change") is not None:
        return part
    if sheet.slips("by-for-to", "percent", int(change[1] == "down")) is not None:
        return part
    if change[1] == "up":
        return sheet.total([("rate", rate), ("change", part)])
    return sheet.less(rate, part, "change")


def heparin_start(stem: str, sheet: Worksheet) -> None:
    """A bolus and its mL, the first units/h and mL/h."""
    dose, hourly = found(rf"{NUMBER} units/kg IV bolus, then {NUMBER} units/kg/h", stem)
    weight = weight_in_kg(sheet, stem)
    vial = sheet.read(found(rf"vial {EACH_ML}", stem)[0], "vial")
    amount, unit, volume = found(rf"bag {STRENGTH}", stem)
    bolus = sheet.answer("bolus", sheet.times(sheet.read(dose, "bolus for each kg"), weight, "weight"))
    sheet.answer("volume", sheet.over(sheet.rounded("bolus", bolus), vial, "vial"))
    hour = sheet.answer("hourly", sheet.times(sheet.read(hourly, "dose for each kg"), weight, "weight again"))
    strength = strength_read(sheet, amount, unit, volume)
    sheet.answer("rate", volume_for(sheet, sheet.rounded("hourly", hour), strength))


def heparin_adjustment(stem: str, sheet: Worksheet) -> None:
    """The bolus and the new rate that a protocol calls for."""
    weight, rate = found(rf"weighs {NUMBER} kg receives .*? at {NUMBER} mL/h", stem)
    row = _row(sheet, stem)
    bolus = re.search(rf"bolus {NUMBER} units/kg", row)
    amount = Decimal(0)
    if bolus:
        amount = sheet.times(sheet.read(bolus[1], "bolus for each kg"), sheet.read(weight, "weight"), "weight")
    sheet.answer("bolus", amount)
    sheet.answer("rate", _changed(sheet, sheet.read(rate, "rate"), row))


def heparin_hold(stem: str, sheet: Worksheet) -> None:
    """When to restart after a hold, the new mL/h, and its units/h."""
    strength, rate, now = found(rf"{EACH_ML} at {NUMBER} mL/h\. At {CLOCK}", stem)
    row = _row(sheet, stem)
    hold = re.search(rf"hold for {NUMBER} min", row)
    clock_after(sheet, "restart", clock_read(now), sheet.read(hold[1], "hold") if hold else Decimal(0))
    new = sheet.answer("rate", _changed(sheet, sheet.read(rate, "rate"), row))
    sheet.answer("hourly", sheet.times(sheet.rounded("rate", new), sheet.read(strength, "strength"), "strength"))


def heparin_child(stem: str, sheet: Worksheet) -> None:
    """A child's bolus, its mL, the first rate, and the rate after the aPTT."""
    dose, text, hourly = found(rf"{NUMBER} units/kg IV .*? {EACH_ML}, then {NUMBER} units/kg/h", stem)
    weight, strength = weight_in_kg(sheet, stem), sheet.read(text, "strength")
    bolus = sheet.answer("bolus", sheet.times(sheet.read(dose, "bolus for each kg"), weight, "weight"))
    sheet.answer("volume", sheet.over(bolus, strength, "strength"))
    hour = sheet.times(sheet.read(hourly, "dose for each kg"), weight, "weight again")
    rate = sheet.answer("rate", sheet.over(hour, strength, "strength again"))
    sheet.answer("new_rate", _changed(sheet, sheet.rounded("rate", rate), _row(sheet, stem)))


def heparin_day(stem: str, sheet: Worksheet) -> None:
    """The units an hour and a day that a pump delivers, and whether that lies within a range."""
    strength = strength_read(sheet, *found(STRENGTH, stem))
    rate = sheet.read(found(rf"at {NUMBER} mL/h", stem)[0], "rate")
    low, high = found(rf"{NUMBER} units to {NUMBER} units in 24 h", stem)
    hour = sheet.answer("hourly", drug_in(sheet, rate, strength))
    day = sheet.answer("daily", sheet.converted(hour, "day", "h", "units an hour"))
    at = side(day, sheet.read(low, "low end"), sheet.read(high, "high end"))
    choose(sheet, "verdict", ("Below", "Within", "Above"), at)


def insulin_start(stem: str, sheet: Worksheet) -> None:
    """The first mL/h of an insulin infusion, and the bags for some hours."""
    dose, bag, strength, time = found(
        rf"{NUMBER} units?/kg/h .*?bags with {NUMBER} mL of .*?, {EACH_ML}\. .*? bags for {NUMBER} h", stem
    )
    hour = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    rate = sheet.answer("rate", sheet.over(hour, sheet.read(strength, "strength"), "strength"))
    volume = sheet.times(sheet.rounded("rate", rate), sheet.read(time, "time"), "time")
    sheet.answer("bags", whole_ones(sheet, sheet.over(volume, sheet.read(bag, "bag"), "bag"), "bags"))


def insulin_scale(stem: str, sheet: Worksheet) -> None:
    """The units/h of a table, the mL/h, and the units in some hours."""
    amount, volume = found(rf"{NUMBER} units in {NUMBER} mL", stem)
    (glucose,) = found(rf"Glucose now {NUMBER} mg/dL", stem)
    rows = re.findall(rf"{NUMBER} to {NUMBER} mg/dL, {NUMBER} units?/h", stem)
    at = next(i for i, (low, high, _) in enumerate(rows) if number(low) <= number(glucose) <= number(high))
    if (way := sheet.slips("wrong-row", "table", 2)) is not None:
        at = min(max(at + (1, -1)[way], 0), len(rows) - 1)
    dose = sheet.answer("dose", sheet.read(rows[at][2], "dose of the table"))
    strength = Strength(sheet.read(amount, "amount of the strength"), "units",
                        sheet.read(volume, "volume of the strength"))  # fmt: skip
    sheet.answer("rate", volume_for(sheet, dose, strength))
    if "units" in sheet.asked:
        time = sheet.read(found(rf"for {NUMBER} h", sheet.asked["units"])[0], "time")
        sheet.answer("units", sheet.times(dose, time, "time"))


def mixed_insulin(stem: str, sheet: Worksheet) -> None:
    """The mark to which two insulins fill a syringe, and the syringe."""
    first, second = found(rf"{NUMBER} units and .*? {NUMBER} units subcut", stem)
    sizes = found(rf"syringes of {NUMBER} units, {NUMBER} units and {NUMBER} units", stem)
    terms = [("first insulin", sheet.read(first, "first insulin")),
             ("second insulin", sheet.read(second, "second insulin"))]  # fmt: skip
    total = sheet.answer("total", sheet.total(terms))
    choose(sheet, "syringe", [f"{size}-unit" for size in sizes], smallest(total, [number(s) for s in sizes]))


def ketoacidosis(stem: str, sheet: Worksheet) -> None:
    """A fluid bolus and its mL/h, insulin by weight, and the rate after it was cut."""
    dose, time, insulin, strength, cut = found(
        rf"{NUMBER} mL/kg over {NUMBER} min, .*? {NUMBER} units?/kg/h IV from {EACH_ML}\. .*? cut to {NUMBER}%", stem
    )
    weight = weight_in_kg(sheet, stem)
    volume = sheet.answer("volume", sheet.times(sheet.read(dose, "dose for each kg"), weight, "weight"))
    hours = sheet.converted(sheet.read(time, "time"), "min", "h", "time")
    sheet.answer("rate", sheet.over(sheet.rounded("volume", volume), hours, "time"))
    hour = sheet.times(sheet.read(insulin, "insulin for each kg"), weight, "weight again")
    rate = sheet.answer("insulin", sheet.over(hour, sheet.read(strength, "strength"), "strength"))
    share = quotient(sheet.read(cut, "percent"), HUNDRED)
    if sheet.slips("by-for-to", "percent") is not None:
        share = 1 - share
    sheet.answer("lower", sheet.times(sheet.rounded("insulin", rate), share, "percent"))


def heparin_adult(stem: str, sheet: Worksheet) -> None:
    """The bolus and the new mL/h by a protocol in units/kg/h."""
    text, rate = found(rf"heparin {EACH_ML} at {NUMBER} mL/h", stem)
    weight, row, before = weight_in_kg(sheet, stem), _row(sheet, stem), sheet.read(rate, "rate")
    bolus = re.search(rf"bolus {NUMBER} units/kg", row)
    each = sheet.read(bolus[1], "bolus for each kg") if bolus else Decimal(0)
    sheet.answer("bolus", sheet.times(each, weight, "weight") if bolus else each)
    step = re.search(rf"{NUMBER} units/kg/h (more|less)", row)
    if step is None:
        sheet.answer("rate", before)
        return
    hour = sheet.times(sheet.read(step[1], "change for each kg"), weight, "weight again")
    change = sheet.over(hour, sheet.read(text, "strength"), "strength")
    if sheet.slips("change-for-new-rate", "change") is not None:
        sheet.answer("rate", change)
    elif step[2] == "more":
        sheet.answer("rate", sheet.total([("rate", before), ("change", change)]))
    else:
        sheet.answer("rate", sheet.less(before, change, "change"))
