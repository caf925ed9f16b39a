"""Orders against references: ranges by weight, limits for a dose and a day, limits of analgesia by demand."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, number
from calclib.demo.students.procedures.choices import choose, least, side
from calclib.demo.students.procedures.frequencies import doses_in
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

DAY = "24"
HUNDRED = Decimal(100)
PLACES = ("below", "within", "above")


def _ends(sheet: Worksheet, stem: str, per: str) -> list[Decimal]:
    texts = found(rf"{NUMBER} mg/kg{per} to {NUMBER} mg/kg{per}", stem)
    weight = weight_in_kg(sheet, stem)
    names = ("low end", "high end")
    return [
        sheet.times(sheet.read(text, name), weight, f"weight, {name}") for text, name in zip(texts, names, strict=True)
    ]


def day_range(stem: str, sheet: Worksheet) -> None:
    """What an order comes to in a day, the least and greatest amount, and whether it lies between."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    cap, unit = found(rf"not more than {NUMBER} {DRUG} in a day", stem)
    dose = sheet.converted(sheet.read(order, "order"), have, "mg", "order")
    ordered = sheet.answer("ordered", sheet.times(dose, doses_in(sheet, stem, DAY), "doses of a day"))
    low, high = _ends(sheet, stem, "/day")
    limit = sheet.converted(sheet.read(cap, "maximum"), unit, "mg", "maximum")
    low, high = sheet.answer("least", low), sheet.answer("most", least(sheet, high, limit, "maximum"))
    choose(sheet, "verdict", PLACES, side(ordered, low, high))


def single_range(stem: str, sheet: Worksheet) -> None:
    """The least and greatest single dose, and whether the order lies between."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    low, high = _ends(sheet, stem, "")
    low, high = sheet.answer("least", low), sheet.answer("most", high)
    dose = sheet.converted(sheet.read(order, "order"), have, "mg", "order")
    choose(sheet, "verdict", PLACES, side(dose, low, high))


def potassium(stem: str, sheet: Worksheet) -> None:
    """The mEq of a day, the mL of a dose and of some days, and whether both limits are kept."""
    order, unit = found(rf"Order: .*? {NUMBER} {DRUG} by mouth", stem)
    single, day = found(rf"not more than {NUMBER} mEq for one dose and not more than {NUMBER} mEq in 24 h", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    dose = sheet.converted(sheet.read(order, "order"), unit, "mEq", "order")
    daily = sheet.answer("daily", sheet.times(dose, doses_in(sheet, stem, DAY), "doses of a day"))
    volume = sheet.answer("volume", volume_for(sheet, dose, strength))
    (days,) = found(rf"for {NUMBER} days", stem)
    a_day = sheet.times(volume, doses_in(sheet, stem, DAY), "doses of all days")
    sheet.answer("supply", sheet.times(a_day, sheet.read(days, "days"), "days"))
    above = daily > sheet.read(day, "limit of a day")
    if sheet.slips("limit-ignored", "limit of a dose") is None:
        above = above or dose > sheet.read(single, "limit of a dose")
    choose(sheet, "verdict", ("within", "above"), int(above))


def demand_limits(stem: str, sheet: Worksheet) -> None:
    """What a lockout lets a patient get in an hour and in some hours, and whether that is within a limit."""
    each, lockout, background = found(
        rf"{NUMBER} mg for each demand, lockout {NUMBER} min, background {NUMBER} mg/h", stem
    )
    most, time = found(rf"not more than {NUMBER} mg in {NUMBER} h", stem)
    (hours,) = found(rf"in {NUMBER} h in all", sheet.asked["four"])
    minutes = sheet.converted(Decimal(1), "h", "min", "hour")
    times = sheet.over(minutes, sheet.read(lockout, "lockout"), "lockout")
    hourly = sheet.answer("by_demand", sheet.times(times, sheet.read(each, "dose"), "dose"))
    total = sheet.total([("by demand", hourly), ("background", sheet.read(background, "background"))])
    sheet.answer("four", sheet.times(total, sheet.read(hours, "hours"), "hours"))
    above = total * number(time) > sheet.read(most, "limit")
    choose(sheet, "verdict", ("within", "above"), int(above))


def demand_review(stem: str, sheet: Worksheet) -> None:
    """What a patient has had by demand, what is left of the limit, and the percent of demands that were met."""
    each, limit = found(rf"{NUMBER} mg for each demand, .*? limit {NUMBER} mg in", stem)
    asked, given = found(rf"{NUMBER} demands and {NUMBER} doses given", stem)
    doses = sheet.read(given, "doses given")
    total = sheet.answer("total", sheet.times(sheet.read(each, "dose"), doses, "doses given"))
    sheet.answer("left", sheet.less(sheet.read(limit, "limit"), total, "amount given"))
    share = sheet.over(doses, sheet.read(asked, "demands"), "demands")
    sheet.answer("share", sheet.times(share, HUNDRED, "percent"))


def dose_by_age(stem: str, sheet: Worksheet) -> None:
    """A dose by age and weight, its mL, and the g of a day."""
    age, strength = found(rf", {NUMBER} months old.*? holds {NUMBER} mg/mL", stem)
    limit, younger, above, older = found(
        rf"to {NUMBER} months {NUMBER} mg/kg for each dose; older than {NUMBER} months {NUMBER} mg/kg", stem
    )
    each, other = (older, younger) if number(age) > number(above) else (younger, older)
    if sheet.slips("wrong-row", "label", int(limit == above)) is not None:
        each = other
    amount = sheet.times(sheet.read(each, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    amount = sheet.answer("amount", amount)
    sheet.answer("volume", sheet.over(amount, sheet.read(strength, "strength"), "strength"))
    daily = sheet.times(amount, doses_in(sheet, stem, DAY), "doses of a day")
    sheet.answer("daily", sheet.converted(daily, "mg", "g", "day's amount"))


def fever_chart(stem: str, sheet: Worksheet) -> None:
    """The mL of a chart, their mg and mg/kg, and the mL that are left for the day."""
    (weight,) = found(rf"weighs {NUMBER} lb", stem)
    strength = strength_read(sheet, *found(rf"liquid, {STRENGTH}", stem))
    count, had = found(rf"more than {NUMBER} doses .*? in the last 24 h: {NUMBER}", stem)
    rows = [(number(low), dose) for low, dose in re.findall(rf"{NUMBER} (?:to \d+ lb|lb and more), {NUMBER} mL", stem)]
    at = sum(low <= number(weight) for low, _ in rows) - 1
    if (way := sheet.slips("wrong-row", "chart", 2)) is not None:
        at = min(max(at + (1, -1)[way], 0), len(rows) - 1)
    volume = sheet.answer("volume", sheet.read(rows[at][1], "volume of the chart"))
    amount = sheet.answer("amount", sheet.converted(drug_in(sheet, volume, strength), strength.unit, "mg", "amount"))
    sheet.answer("each", sheet.over(amount, weight_in_kg(sheet, stem), "weight"))
    rest = sheet.less(sheet.read(count, "doses of a day"), sheet.read(had, "doses given"), "doses given")
    sheet.answer("left", sheet.times(volume, rest, "doses left"))


def received(stem: str, sheet: Worksheet) -> None:
    """What a child gets in a day, and for each kg."""
    (dose,) = found(rf"receives [a-z]+ {NUMBER} mg ", stem)
    daily = sheet.times(sheet.read(dose, "order"), doses_in(sheet, stem, DAY), "doses of a day")
    sheet.answer("each", sheet.over(sheet.answer("daily", daily), weight_in_kg(sheet, stem), "weight"))
