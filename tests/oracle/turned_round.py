"""What is usually known, asked for: the other way round of a conversion, a strength, a dilution, a drop rate."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, MIXED, NUMBER, found, number, product
from calclib.demo.students.procedures.clock import minutes_read
from calclib.demo.students.procedures.frequencies import doses_in
from calclib.demo.students.procedures.infusions import drop_factor, volume_in_ml
from calclib.demo.students.strengths import DRUG, STRENGTH, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet
from tests.oracle.mixtures import in_hundred

HUNDRED, GRAM = Decimal(100), Decimal(1000)


def liters_in_milliliters(stem: str, sheet: Worksheet) -> None:
    """A volume charted in mL."""
    (volume,) = found(rf"{NUMBER} L (?:of|by) ", stem)
    sheet.answer("converted", sheet.converted(sheet.read(volume, "volume"), "L", "mL", "volume"))


def weight_in_pounds(stem: str, sheet: Worksheet) -> None:
    """A weight in kg for a family."""
    (weight,) = found(rf"weighs {NUMBER} kg", stem)
    sheet.answer("pounds", sheet.converted(sheet.read(weight, "weight"), "kg", "lb", "weight"))


def weight_in_grams(stem: str, sheet: Worksheet) -> None:
    """A newborn's weight in g."""
    (weight,) = found(rf"weighs {NUMBER} kg", stem)
    sheet.answer("grams", sheet.converted(sheet.read(weight, "weight"), "kg", "g", "weight"))


def spoons(stem: str, sheet: Worksheet) -> None:
    """A volume in teaspoons and tablespoons, and the mL for some days."""
    volume, times, days = found(rf"is {NUMBER} mL, {NUMBER} times a day for {NUMBER} days", stem)
    read = sheet.read(volume, "volume")
    sheet.answer("teaspoons", sheet.converted(read, "mL", "tsp", "teaspoons"))
    sheet.answer("tablespoons", sheet.converted(read, "mL", "tbsp", "tablespoons"))
    daily = sheet.times(read, sheet.read(times, "times"), "times")
    sheet.answer("supply", sheet.times(daily, sheet.read(days, "days"), "days"))


def ounces_and_cups(stem: str, sheet: Worksheet) -> None:
    """A volume in fluid ounces and cups."""
    milliliters = volume_in_ml(sheet, *found(rf"drink {NUMBER} (mL|L) ", stem))
    sheet.answer("ounces", sheet.converted(milliliters, "mL", "oz", "ounces"))
    sheet.answer("cups", sheet.converted(milliliters, "mL", "cup", "cups"))


def minutes_and_seconds(stem: str, sheet: Worksheet) -> None:
    """Decimal hours in minutes and seconds."""
    (time,) = found(rf"took {NUMBER} h", stem)
    minutes = sheet.answer("minutes", sheet.converted(sheet.read(time, "time"), "h", "min", "time"))
    sheet.answer("seconds", sheet.converted(minutes, "min", "s", "minutes"))


def decimal_hours(stem: str, sheet: Worksheet) -> None:
    """Minutes in decimal hours."""
    (time,) = found(rf"ran for {NUMBER} min", stem)
    sheet.answer("hours", sheet.converted(sheet.read(time, "time"), "min", "h", "time"))


def drug_in_volume(stem: str, sheet: Worksheet) -> None:
    """The drug in a volume of a liquid."""
    (volume,) = found(rf"took {NUMBER} mL of", stem)
    strength = strength_read(sheet, *found(rf"liquid, {STRENGTH}", stem))
    amount = drug_in(sheet, sheet.read(volume, "volume"), strength)
    sheet.answer("amount", sheet.converted(amount, strength.unit, "mg", "amount"))


def strength_of_bag(stem: str, sheet: Worksheet) -> None:
    """The drug in each mL of a bag, in mg and in mcg."""
    amount, have, volume, unit = found(rf"reads: .*? {NUMBER} {DRUG} in {NUMBER} (mL|L)\.", stem)
    milligrams = sheet.converted(sheet.read(amount, "amount"), have, "mg", "amount")
    each = sheet.answer("strength", sheet.over(milligrams, volume_in_ml(sheet, volume, unit), "volume"))
    sheet.answer("small", sheet.converted(each, "mg", "mcg", "strength"))


def percent_of_strength(stem: str, sheet: Worksheet) -> None:
    """The g in 100 mL of a strength that is stated in another way."""
    parts, amount, volume = found(rf"as (?:1:{NUMBER}|{NUMBER} g in {NUMBER} mL)", stem)
    grams = sheet.read(amount, "amount") if amount else Decimal(1)
    each = sheet.on_the_way(sheet.over(grams, sheet.read(volume or parts, "volume"), "volume"), "g/mL")
    if sheet.slips("percent-as-mg-in-ml", "percent") is not None:
        sheet.answer("percent", product(each, GRAM))
    else:
        sheet.answer("percent", sheet.times(each, HUNDRED, "100 mL"))


def stock_for_volume(stem: str, sheet: Worksheet) -> None:
    """Stock solution and water for a volume of a weaker one."""
    total, have, percent, parts, stock = found(
        rf"prepare {NUMBER} (mL|L) of a (?:{NUMBER}%|1:{NUMBER}) solution .*? a {NUMBER}% stock", stem
    )
    if percent:
        wanted = in_hundred(sheet, percent, "strength wanted")
    else:
        wanted = sheet.over(Decimal(1), sheet.read(parts, "parts"), "parts")
    milliliters = volume_in_ml(sheet, total, have)
    grams = sheet.on_the_way(sheet.times(milliliters, wanted, "strength wanted"), "grams")
    taken = sheet.answer("stock", sheet.over(grams, in_hundred(sheet, stock, "strength on hand"), "strength on hand"))
    sheet.answer("water", sheet.less(milliliters, taken, "stock solution"))


def all_of_the_formula(stem: str, sheet: Worksheet) -> None:
    """Feeding and water from all the formula that is there."""
    share, formula, have = found(rf"Order: {NUMBER} strength .*? {NUMBER} (mL|oz) of full", stem)
    milliliters = volume_in_ml(sheet, formula, have)
    total = sheet.answer("total", sheet.over(milliliters, sheet.read(share, "strength"), "strength"))
    sheet.answer("water", sheet.less(total, milliliters, "formula"))


def dose_by_surface(stem: str, sheet: Worksheet) -> None:
    """Amount and volume for a body surface area that is known."""
    dose, surface = found(rf"{NUMBER} mg/m2 .*? is {NUMBER} m2", stem)
    amount = sheet.times(sheet.read(dose, "dose"), sheet.read(surface, "body surface"), "body surface")
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    sheet.answer("volume", volume_for(sheet, sheet.answer("amount", amount), strength))


def share_of_adult(stem: str, sheet: Worksheet) -> None:
    """A child's dose by the share of an adult's body surface."""
    adult, have, surface, whole = found(rf"is {NUMBER} {DRUG}\. .*? is {NUMBER} m2\. .*? / {NUMBER} x", stem)
    share = sheet.over(sheet.read(surface, "body surface"), Decimal(whole), "adult body surface")
    dose = sheet.converted(sheet.read(adult, "adult dose"), have, "mg", "adult dose")
    sheet.answer("dose", sheet.times(sheet.on_the_way(share, "share"), dose, "adult dose"))


def run_in_by_drops(stem: str, sheet: Worksheet) -> None:
    """The mL that have run in at a drop rate."""
    drops, time, have = found(rf"at {NUMBER} gtt/min for {NUMBER} (min|h)\.", stem)
    counted = sheet.times(sheet.read(drops, "drop rate"), minutes_read(sheet, time, have), "time")
    sheet.answer("infused", sheet.over(counted, drop_factor(stem, sheet), "drop factor"))


def liquid_for_days(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, and those of some days."""
    order, have, days = found(rf"Order: .*? {NUMBER} {DRUG} .*? for {NUMBER} days", stem)
    strength = strength_read(sheet, *found(rf"liquid, {STRENGTH}", stem))
    dose = sheet.converted(sheet.read(order, "order"), have, strength.unit, "order")
    volume = sheet.answer("volume", volume_for(sheet, dose, strength))
    daily = sheet.times(volume, doses_in(sheet, stem, "24"), "doses in a day")
    sheet.answer("supply", sheet.times(daily, sheet.read(days, "days"), "days"))


def fraction_of_total(stem: str, sheet: Worksheet) -> None:
    """Concentrate and water for a volume of a fraction strength."""
    total, have, share = found(rf"prepare {NUMBER} (mL|L|oz) of {MIXED} strength", stem)
    milliliters = volume_in_ml(sheet, total, have)
    taken = sheet.answer("concentrate", sheet.times(milliliters, sheet.read(share, "strength"), "strength"))
    sheet.answer("water", sheet.less(milliliters, taken, "concentrate"))


def mass_of_milliequivalents(stem: str, sheet: Worksheet) -> None:
    """The mmol and the mg of an amount in mEq."""
    amount, mass, valence = found(rf"{NUMBER} mEq\. Molar mass {NUMBER} mg/mmol, {NUMBER} mEq/mmol", stem)
    substance = sheet.over(sheet.read(amount, "amount"), sheet.read(valence, "mEq of 1 mmol"), "mEq of 1 mmol")
    substance = sheet.answer("substance", substance)
    sheet.answer("mass", sheet.times(substance, sheet.read(mass, "mass of 1 mmol"), "mass of 1 mmol"))


def percent_of_milliequivalents(stem: str, sheet: Worksheet) -> None:
    """The mg in each mL of a strength in mEq/mL, and its percent."""
    strength, mass, valence = found(rf"holds {NUMBER} mEq/mL\. Molar mass {NUMBER} mg/mmol, {NUMBER} mEq/mmol", stem)
    each = sheet.over(sheet.read(mass, "mass of 1 mmol"), sheet.read(valence, "mEq of 1 mmol"), "mEq of 1 mmol")
    each = sheet.times(sheet.on_the_way(each, "mass of 1 mEq"), sheet.read(strength, "strength"), "strength")
    sheet.answer("percent", sheet.over(sheet.answer("mass", each), Decimal(10), "10 mg/mL for each percent"))


def grams_of_millimoles(stem: str, sheet: Worksheet) -> None:
    """The mg in each mL of a strength in mmol/L, and the g of a volume."""
    strength, per, mass, volume = found(
        rf"mmol: {NUMBER} mmol/(mL|L)\. Molar mass {NUMBER} mg/mmol\. So far {NUMBER} mL", stem
    )
    each = sheet.read(strength, "strength")
    if per == "L":  # the mmol of one L, shared out over its mL
        each = sheet.on_the_way(sheet.converted(each, "mL", "L", "strength"), "mmol/mL")
    each = sheet.answer("mass", sheet.times(each, sheet.read(mass, "mass of 1 mmol"), "mass of 1 mmol"))
    milligrams = sheet.times(each, sheet.read(volume, "volume"), "volume")
    sheet.answer("grams", sheet.converted(milligrams, "mg", "g", "milligrams"))


def percent_after_dilution(stem: str, sheet: Worksheet) -> None:
    """The mg/mL and the percent of a stock after dilution to a volume."""
    taken, stock, total, have = found(rf"take {NUMBER} mL of a {NUMBER}% stock .*? have {NUMBER} (mL|L) in all", stem)
    strength = in_hundred(sheet, stock, "stock")
    grams = sheet.on_the_way(sheet.times(sheet.read(taken, "volume of stock"), strength, "stock"), "grams")
    milligrams = sheet.converted(grams, "g", "mg", "grams")
    volume = volume_in_ml(sheet, total, have)
    if sheet.slips("diluent-for-final-volume", "volume") is not None:
        volume = DIGITS.add(volume, number(taken))
    each = sheet.answer("strength", sheet.over(milligrams, volume, "volume"))
    sheet.answer("percent", sheet.over(each, Decimal(10), "10 mg/mL for each percent"))


def volume_after_dilution(stem: str, sheet: Worksheet) -> None:
    """The volume to which a stock can be diluted, and the water."""
    taken, have, stock, percent, parts = found(
        rf"All of the {NUMBER} (mL|L) of a {NUMBER}% stock .*? to (?:{NUMBER}%|1:{NUMBER}) with", stem
    )
    milliliters = volume_in_ml(sheet, taken, have)
    strength = in_hundred(sheet, stock, "stock")
    grams = sheet.on_the_way(sheet.times(milliliters, strength, "stock"), "grams")
    if percent:
        wanted = in_hundred(sheet, percent, "strength wanted")
    else:
        wanted = sheet.over(Decimal(1), sheet.read(parts, "parts"), "parts")
    total = sheet.answer("total", sheet.over(grams, wanted, "strength wanted"))
    sheet.answer("water", sheet.less(total, milliliters, "volume of stock"))
