"""Scales that are read from a drawing: syringes, a medicine cup, a hanging bag, drops in a chamber.

A student who can't see the drawing has it in words, and so have these.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, found, number, product, quotient
from calclib.demo.students.procedures.choices import choose, side
from calclib.demo.students.procedures.clock import CLOCK, clock_after, clock_read, minutes_of
from calclib.demo.students.procedures.infusions import drop_factor
from calclib.demo.students.strengths import DRUG, STRENGTH, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

MARKS = r"(?:(\d+) small marks? (?:past|above|below) )?(?:at )?(?:the )?(\d[\d,.]*\d|\d)"
# What a small mark is taken for by who doesn't count the spaces, by the device.
USUAL_MARKS = {
    "1 mL syringe": ("0.1",),
    "3 mL syringe": ("0.2",),
    "5 mL syringe": ("0.1",),
    "10 mL syringe": ("0.1",),
    "insulin syringe": ("1",),
    "medicine cup": ("1",),
    "bag": ("10",),
}


@dataclass(frozen=True)
class Scale:
    """A scale in words: the device, from number to number, from mark to mark."""

    device: str
    step: Decimal
    mark: Decimal


def scale_read(stem: str) -> Scale:
    """Return the scale of the device in the drawing."""
    (words,) = found(r"Drawing of an? (?:hanging )?(.*?)(?: with its plunger|, at eye level|\.)", stem)
    device = next((name for name in USUAL_MARKS if words.endswith(name)), None)
    if device is None:
        raise NotUnderstoodError(f"nobody has learned to read a {words}")
    first, spaces = found(
        rf"printed numbers (?:from bottom to top )?are {NUMBER}, .*? there are (\d+) equal spaces", stem
    )
    return Scale(device, number(first), quotient(number(first), Decimal(spaces)))


def mark_read(sheet: Worksheet, scale: Scale) -> Decimal:
    """Return what one small mark is worth."""
    usual = [Decimal(one) for one in USUAL_MARKS[scale.device] if Decimal(one) != scale.mark]
    if (way := sheet.slips("small-mark-misjudged", "scale", len(usual))) is not None:
        return usual[way]
    return scale.mark


def level_read(stem: str, sheet: Worksheet) -> Decimal:
    """Return where the level of the drawn device stands."""
    scale = scale_read(stem)
    count, start = found(rf"(?:nearest the needle|surface of the (?:liquid|fluid)) is {MARKS}", stem)
    if "nearest the handle" in stem and sheet.slips("far-edge-read", "ring") is not None:
        count, start = found(rf"the edge nearest the handle {MARKS}", stem)
    marks, below = Decimal(count or 0), number(start)
    mark = mark_read(sheet, scale)
    if (way := sheet.slips("marks-counted-the-wrong-way", "scale", 2 if below else 1)) is not None:
        onward = below + 2 * scale.step - product(marks, mark)
        return onward if way == 0 else below - product(marks, mark)
    return below + product(marks, mark)


def _dose(stem: str, sheet: Worksheet) -> None:
    strength = strength_read(sheet, *found(rf"vial of .*?{STRENGTH}", stem))
    level = sheet.rounded("reading", sheet.answer("reading", level_read(stem, sheet)))
    sheet.answer("dose", drug_in(sheet, level, strength))


def syringe(stem: str, sheet: Worksheet) -> None:
    """The mL in a syringe, and the mg in them."""
    _dose(stem, sheet)


def insulin_syringe(stem: str, sheet: Worksheet) -> None:
    """The units in a syringe, and those that are too many."""
    (order,) = found(rf"insulin {NUMBER} units subcut", stem)
    level = sheet.answer("reading", level_read(stem, sheet))
    sheet.answer("over", sheet.less(level, sheet.read(order, "order"), "order"))


def medicine_cup(stem: str, sheet: Worksheet) -> None:
    """The mL in a cup, the mg of a day, and the mL of some days."""
    strength = strength_read(sheet, *found(rf"oral liquid, {STRENGTH}", stem))
    hours, days = found(rf"takes this every {NUMBER} h for {NUMBER} days", stem)
    level = sheet.answer("reading", level_read(stem, sheet))
    doses = sheet.over(Decimal(24), sheet.read(hours, "interval"), "interval")
    if sheet.slips("interval-for-doses", "doses in a day") is not None:
        doses = number(hours)
    sheet.answer("daily", sheet.times(drug_in(sheet, level, strength), doses, "doses in a day"))
    supply = sheet.times(sheet.times(level, doses, "doses of all days"), sheet.read(days, "days"), "days")
    sheet.answer("supply", supply)


def bag_time(stem: str, sheet: Worksheet) -> None:
    """What is left in a bag, how long it lasts, and until when."""
    whole, rate, now = found(rf"A {NUMBER} mL bag of .*? runs at {NUMBER} mL/h\. It is {CLOCK}", stem)
    level = level_read(stem, sheet)
    if sheet.slips("scale-upside-down", "scale") is not None:
        level = number(whole) - level
    left = sheet.answer("left", sheet.less(number(whole), level, "volume that has run in"))
    time = sheet.over(left, sheet.read(rate, "rate"), "rate")
    sheet.answer("time", time)
    clock_after(sheet, "empty", clock_read(now), minutes_of(sheet, time))


def drip_chamber(stem: str, sheet: Worksheet) -> None:
    """The drops of a minute, the mL/h, and how long a bag lasts."""
    seconds, left = found(rf"drip chamber for {NUMBER} s; .*? falls\. {NUMBER} mL is left", stem)
    (strip,) = found(r"Drawing of a drip chamber(.*)", stem)
    drops = Decimal(len(re.findall(r"\bdrop[,.]", strip)))
    if (way := sheet.slips("drop-miscounted", "strip", 2)) is not None:
        drops += (1, -1)[way]
    minutes = sheet.converted(sheet.read(seconds, "time watched"), "s", "min", "time watched")
    drops = sheet.rounded("drops", sheet.answer("drops", sheet.over(drops, minutes, "time watched")))
    each = sheet.over(drops, drop_factor(stem, sheet), "drop factor")
    rate = sheet.answer("rate", sheet.converted(each, "h", "min", "mL a minute"))
    sheet.answer("time", sheet.over(sheet.read(left, "volume left"), rate, "rate"))


def dose_check(stem: str, sheet: Worksheet) -> None:
    """The mL that an order needs, those in the syringe, and whether they agree."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} (?:IM|IV|subcut)", stem)
    strength = strength_read(sheet, *found(rf"Vial: {STRENGTH}", stem))
    dose = sheet.converted(sheet.read(order, "order"), have, strength.unit, "order")
    volume = sheet.answer("volume", volume_for(sheet, dose, strength))
    level = sheet.answer("reading", level_read(stem, sheet))
    choose(sheet, "check", ["too little", "Yes", "too much"], side(level, volume, volume))


def mark_to_draw_up(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, and the number of the mark."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} (?:IM|IV|subcut)", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    dose = sheet.converted(sheet.read(order, "order"), have, strength.unit, "order")
    volume = sheet.answer("volume", volume_for(sheet, dose, strength))
    sheet.answer("marks", sheet.over(volume, mark_read(sheet, scale_read(stem)), "mark"))
