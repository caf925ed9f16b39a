"""Conversions and household measures."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import pairwise

from calclib.demo.students.conversions import KITCHEN, neighbors
from calclib.demo.students.figures import MIXED, NUMBER, found
from calclib.demo.students.strengths import DRUG
from calclib.demo.students.worksheet import Worksheet


def metric_amount(stem: str, sheet: Worksheet) -> None:
    """An order in another metric unit."""
    amount, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    (want,) = found(rf"in {DRUG}\.", stem)
    sheet.answer("converted", sheet.converted(sheet.read(amount, "order"), have, want, "order"))


def milliliters_to_liters(stem: str, sheet: Worksheet) -> None:
    """A volume charted in L."""
    (volume,) = found(rf"{NUMBER} mL of", stem)
    sheet.answer("liters", sheet.converted(sheet.read(volume, "volume"), "mL", "L", "volume"))


def days_intake(stem: str, sheet: Worksheet) -> None:
    """Several equal drinks, in mL and in L."""
    volume, times = found(rf"{NUMBER} mL of .*? {NUMBER} times", stem)
    total = sheet.times(sheet.read(volume, "volume"), sheet.read(times, "times"), "times")
    total = sheet.answer("total", total)
    sheet.answer("liters", sheet.converted(total, "mL", "L", "total"))


def weight_in_kilograms(stem: str, sheet: Worksheet) -> None:
    """A weight in grams or pounds."""
    weight, have = found(rf"weighs {NUMBER} (g|lb)\.", stem)
    sheet.answer("kilograms", sheet.converted(sheet.read(weight, "weight"), have, "kg", "weight"))


def pounds_and_ounces(stem: str, sheet: Worksheet) -> None:
    """A newborn's pounds and ounces."""
    pounds, ounces = found(rf"weighs {NUMBER} lb and {NUMBER} oz", stem)
    left = sheet.converted(sheet.read(pounds, "pounds"), "lb", "oz", "pounds")
    total = sheet.answer("total", sheet.total([("pounds", left), ("ounces", sheet.read(ounces, "ounces"))]))
    whole = sheet.on_the_way(sheet.converted(total, "oz", "lb", "total"), "pounds in all")
    sheet.answer("kilograms", sheet.converted(whole, "lb", "kg", "pounds in all"))


def household_volume(stem: str, sheet: Worksheet) -> None:
    """Full glasses in cups or ounces, less what was left in the last, which may be stated in mL."""
    times, drink, have = found(rf"{NUMBER} times .*?, a glass of {MIXED} (oz|cup)s? each", stem)
    rest, unit = found(rf"left {NUMBER} (oz|mL) in", stem)
    glass = sheet.read(drink, "glass")
    volume = sheet.answer("volume", sheet.converted(glass, have, "mL", "glass"))
    full = sheet.times(volume if unit == "mL" else glass, sheet.read(times, "glasses"), "glasses")
    drunk = sheet.less(full, sheet.read(rest, "rest"), "rest")
    sheet.answer("total", sheet.converted(drunk, unit, "mL", "volume drunk"))


def small_kitchen_measures(stem: str, sheet: Worksheet) -> None:
    """A drink from a jug, in cups and in teaspoons."""
    volume, have = found(rf"sip {NUMBER} (pt|qt|gal) ", stem)
    cups = sheet.answer("cups", _by_steps(sheet, sheet.read(volume, "volume"), have, "cup"))
    sheet.answer("teaspoons", _by_steps(sheet, cups, "cup", "tsp"))


def large_kitchen_measures(stem: str, sheet: Worksheet) -> None:
    """Cups that were drunk, in quarts and in gallons."""
    (volume,) = found(rf"drunk {NUMBER} cups? ", stem)
    quarts = sheet.answer("quarts", _by_steps(sheet, sheet.read(volume, "volume"), "cup", "qt"))
    sheet.answer("gallons", _by_steps(sheet, quarts, "qt", "gal"))


def _by_steps(sheet: Worksheet, value: Decimal, have: str, want: str) -> Decimal:
    others = [unit for unit in neighbors(want, KITCHEN) if unit != have]
    if (way := sheet.slips("neighboring-measure", f"{want} asked for", len(others))) is not None:
        want = others[way]
    start, end = KITCHEN.index(have), KITCHEN.index(want)
    steps = KITCHEN[start : end + 1] if start < end else KITCHEN[end : start + 1][::-1]
    for here, there in pairwise(steps):
        value = sheet.converted(value, here, there, here)
    return value


def quarts(stem: str, sheet: Worksheet) -> None:
    """A fluid goal for a jug that is marked in quarts."""
    volume, have = found(rf"drink {NUMBER} (mL|L) ", stem)
    liters = sheet.converted(sheet.read(volume, "volume"), have, "L", "volume")
    sheet.answer("quarts", sheet.converted(liters, "L", "qt", "liters"))


def liters_in_tub(stem: str, sheet: Worksheet) -> None:
    """The gallons of a tub, in L."""
    (volume,) = found(rf"holds {NUMBER} gal ", stem)
    sheet.answer("liters", sheet.converted(sheet.read(volume, "volume"), "gal", "L", "volume"))


def spoonfuls(stem: str, sheet: Worksheet) -> None:
    """Several spoonfuls a day for some days."""
    spoons, have, times, days = found(
        rf"(?:given my child|taken) {MIXED} (tsp|tbsp) of .*? {NUMBER} times a day for {NUMBER} days", stem
    )
    each = sheet.converted(sheet.read(spoons, "spoons"), have, "mL", "spoons")
    daily = sheet.answer("total", sheet.times(each, sheet.read(times, "times"), "times"))
    sheet.answer("in_all", sheet.times(daily, sheet.read(days, "days"), "days"))


def intake(stem: str, sheet: Worksheet) -> None:
    """Drinks in several measures and an infusion, added up."""
    terms = []
    for amount, have, what in re.findall(rf"{NUMBER} (cup|oz|mL)s? of (coffee|juice|broth|lactated)", stem):
        terms.append((what, sheet.converted(sheet.read(amount, what), have, "mL", what)))
    sheet.answer("intake", sheet.total(terms))
