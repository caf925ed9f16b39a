"""Medicines that people go on taking at home: tapers, inhalers, patches, insulin pumps; and levels that are watched."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found
from calclib.demo.students.procedures.clock import CLOCK, clock_after, clock_read, minutes_between
from calclib.demo.students.worksheet import Worksheet


def taper(stem: str, sheet: Worksheet) -> None:
    """The tablets of three daily doses, each taken for some days."""
    steps = found(rf"morning: {NUMBER} mg for {NUMBER} days, then {NUMBER} mg for .*?, then {NUMBER} mg for", stem)
    (strength,) = found(rf"On hand: .*? {NUMBER} mg", stem)
    first, days, second, third = steps
    terms = [(f"dose {at}", sheet.read(text, f"dose {at}")) for at, text in enumerate((first, second, third))]
    total = sheet.times(sheet.total(terms), sheet.read(days, "days"), "days")
    sheet.answer("tablets", sheet.over(total, sheet.read(strength, "strength"), "strength"))


def inhaler(stem: str, sheet: Worksheet) -> None:
    """Puffs in a day, and the days that an inhaler lasts."""
    puffs, hours, left, wasted = found(
        rf"uses {NUMBER} puffs? of .*? every {NUMBER} h\. .*? shows {NUMBER} puffs, and {NUMBER} puffs", stem
    )
    times = sheet.over(Decimal(24), sheet.read(hours, "hours"), "hours")
    daily = sheet.answer("daily", sheet.times(sheet.read(puffs, "puffs"), times, "times a day"))
    usable = sheet.less(sheet.read(left, "counter"), sheet.read(wasted, "priming"), "priming")
    sheet.answer("days", sheet.over(usable, daily, "puffs a day"))


def patch(stem: str, sheet: Worksheet) -> None:
    """The hours that a patch is worn, and the drug that it gives."""
    rate, start, end = found(rf"patch {NUMBER} mg/h, on at {CLOCK}, off at {CLOCK}", stem)
    hours = sheet.converted(minutes_between(sheet, start, end), "min", "h", "time worn")
    worn = sheet.answer("worn", hours)
    sheet.answer("dose", sheet.times(sheet.read(rate, "rate"), worn, "time worn"))


def pump_bolus(stem: str, sheet: Worksheet) -> None:
    """The units of an insulin bolus by carbohydrate and glucose."""
    ratio, factor, target, carbs, glucose = found(
        rf"each {NUMBER} g of carbohydrate, plus 1 unit for each {NUMBER} mg/dL of glucose above {NUMBER} mg/dL\. "
        rf".*? holds {NUMBER} g of carbohydrate\. Glucose {NUMBER} mg/dL",
        stem,
    )
    sheet.answer("meal", sheet.over(sheet.read(carbs, "carbohydrate"), sheet.read(ratio, "ratio"), "ratio"))
    above = sheet.less(sheet.read(glucose, "glucose"), sheet.read(target, "target"), "target")
    sheet.answer("correction", sheet.over(above, sheet.read(factor, "factor"), "factor"))


def trough(stem: str, sheet: Worksheet) -> None:
    """When the next dose is due, and when the level before it is drawn."""
    hours, given, before = found(
        rf"every {NUMBER} h; the third dose was started at {CLOCK}\. .*? ordered {NUMBER} min before", stem
    )
    start = clock_read(given)
    gap = sheet.converted(sheet.read(hours, "hours"), "h", "min", "hours")
    clock_after(sheet, "next", start, gap)
    clock_after(sheet, "draw", start, sheet.less(gap, sheet.read(before, "time before"), "time before"))
