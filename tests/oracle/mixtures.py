"""Percents, ratios, dilutions, mixtures of two strengths, tube feeding."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, MIXED, NUMBER, found, quotient
from calclib.demo.students.strengths import DRUG, Strength, volume_for
from calclib.demo.students.worksheet import Worksheet

HUNDRED = Decimal(100)
GRAM = Decimal(1000)


def _grams_in_ml(sheet: Worksheet, stem: str) -> Decimal:
    (text,) = found(rf"{NUMBER}%", stem)
    return in_hundred(sheet, text, "strength")


def in_hundred(sheet: Worksheet, text: str, place: str) -> Decimal:
    """Return a percent strength as g in 1 mL."""
    percent = sheet.read(text, place)
    if sheet.slips("percent-for-each-ml", place) is not None:
        return percent
    if sheet.slips("percent-as-mg-in-ml", place) is not None:
        return quotient(percent, GRAM)
    return quotient(percent, HUNDRED)


def grams_in_volume(stem: str, sheet: Worksheet) -> None:
    """The g in a volume of a percent strength."""
    text, have = found(rf"received {NUMBER} (mL|L) of", stem)
    volume = sheet.converted(sheet.read(text, "volume"), have, "mL", "volume")
    sheet.answer("grams", sheet.times(volume, _grams_in_ml(sheet, stem), "strength"))


def volume_of_percent(stem: str, sheet: Worksheet) -> None:
    """The mL of a percent strength that hold a dose."""
    text, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    dose = sheet.converted(sheet.read(text, "order"), have, "g", "order")
    sheet.answer("volume", sheet.over(dose, _grams_in_ml(sheet, stem), "strength"))


def volume_of_ratio(stem: str, sheet: Worksheet) -> None:
    """A ratio strength in mg/mL, and the mL that hold a dose."""
    text, have = found(rf"asks for {NUMBER} {DRUG} of", stem)
    (parts,) = found(rf"1:{NUMBER}", stem)
    milligrams = sheet.converted(Decimal(1), "g", "mg", "gram of the ratio")
    strength = sheet.answer("strength", sheet.over(milligrams, sheet.read(parts, "parts"), "parts"))
    dose = sheet.converted(sheet.read(text, "order"), have, "mg", "order")
    sheet.answer("volume", sheet.over(dose, strength, "strength"))


def strength_after_dilution(stem: str, sheet: Worksheet) -> None:
    """The strength after a diluent was added."""
    drawn, stock, unit, diluent = found(rf"draw up {NUMBER} mL of .*? {NUMBER} {DRUG}/mL and add {NUMBER} mL", stem)
    volume = sheet.read(drawn, "volume drawn up")
    amount = sheet.times(volume, sheet.read(stock, "stock"), "stock")
    added = sheet.read(diluent, "diluent")
    total = sheet.total([("volume drawn up", volume), ("diluent", added)])
    if sheet.slips("diluent-for-final-volume", "diluent") is not None:
        total = added
    each = sheet.on_the_way(sheet.over(amount, total, "final volume"), "mg/mL")
    sheet.answer("strength", sheet.converted(each, unit, "mcg", "strength"))


def two_strengths(stem: str, sheet: Worksheet) -> None:
    """How much of a higher and a lower strength make one between them."""
    text, target, low, high = found(
        rf"Order: {NUMBER} mL of .*? {NUMBER}%\. On hand: .*? {NUMBER}% and .*? {NUMBER}%", stem
    )
    total, least = sheet.read(text, "volume"), sheet.read(low, "lower strength")
    above = sheet.less(sheet.read(target, "strength ordered"), least, "lower strength, from that ordered")
    apart = sheet.less(sheet.read(high, "higher strength"), least, "lower strength, from the higher")
    more = sheet.times(sheet.over(total, apart, "difference of the strengths"), above, "strength above the lower")
    if sheet.slips("parts-exchanged", "higher and lower") is not None:
        more = DIGITS.subtract(total, more)
    more = sheet.answer("high", more)
    sheet.answer("low", sheet.less(total, more, "volume of the higher strength"))


def bag_concentrations(stem: str, sheet: Worksheet) -> None:
    """The concentration that a label names, and the real one with the added volume."""
    text, have, added, bag = found(rf"add .*? {NUMBER} {DRUG} in {NUMBER} mL to a {NUMBER} mL bag", stem)
    amount = sheet.converted(sheet.read(text, "amount"), have, "mcg", "amount")
    volume = sheet.read(bag, "bag")
    sheet.answer("named", sheet.over(amount, volume, "bag"))
    total = sheet.total([("bag", volume), ("added volume", sheet.read(added, "added volume"))])
    if sheet.slips("diluent-for-final-volume", "bag") is not None:
        total = volume
    sheet.answer("real", sheet.over(amount, total, "total volume"))


def feeding(stem: str, sheet: Worksheet) -> None:
    """Formula and water for a tube feeding of some strength."""
    strength, rate, time = found(rf"{MIXED} strength .*? at {NUMBER} mL/h for {NUMBER} h", stem)
    total = sheet.times(sheet.read(rate, "rate"), sheet.read(time, "time"), "time")
    formula = sheet.answer("formula", sheet.times(total, sheet.read(strength, "strength"), "strength"))
    sheet.answer("water", sheet.less(total, formula, "formula"))


def waste(stem: str, sheet: Worksheet) -> None:
    """The mL to give from a prefilled syringe, and the mL to waste."""
    order, unit = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    held, have, volume = found(rf"holds {NUMBER} {DRUG} of .*? in {NUMBER} mL", stem)
    whole = sheet.read(volume, "volume of the strength")
    strength = Strength(sheet.read(held, "amount of the strength"), have, whole)
    given = volume_for(sheet, sheet.converted(sheet.read(order, "order"), unit, have, "order"), strength)
    sheet.answer("waste", sheet.less(whole, sheet.answer("dose", given), "volume given"))


def dilute_to_percent(stem: str, sheet: Worksheet) -> None:
    """How much of a percent strength to take for a dose, and the diluent that makes it a weaker one."""
    text, have, weaker, stock = found(rf"Order: .*? {NUMBER} {DRUG} IV as a {NUMBER}% .*? On hand: .*? {NUMBER}%", stem)
    dose = sheet.converted(sheet.read(text, "order"), have, "g", "order")
    each = in_hundred(sheet, stock, "strength on hand")
    taken = sheet.answer("stock", sheet.over(dose, each, "strength on hand"))
    whole = sheet.over(dose, in_hundred(sheet, weaker, "strength ordered"), "strength ordered")
    sheet.answer("water", sheet.less(whole, taken, "volume taken"))


def powder_volume(stem: str, sheet: Worksheet) -> None:
    """The strength after mixing, and the volume that the powder takes up."""
    diluent, text, have, total = found(
        rf"add {NUMBER} mL of .*? vial of {NUMBER} {DRUG} of .*? draw up {NUMBER} mL in all", stem
    )
    amount = sheet.converted(sheet.read(text, "powder"), have, "mg", "powder")
    added, drawn = sheet.read(diluent, "diluent"), sheet.read(total, "volume in all")
    whole = drawn
    if sheet.slips("diluent-for-final-volume", "diluent") is not None:
        whole = added
    sheet.answer("strength", sheet.over(amount, whole, "volume in all"))
    sheet.answer("displaced", sheet.less(drawn, added, "diluent"))


def energy(stem: str, sheet: Worksheet) -> None:
    """The g of dextrose in a volume, and its kcal."""
    text, have = found(rf"receives {NUMBER} (mL|L) of", stem)
    volume = sheet.converted(sheet.read(text, "volume"), have, "mL", "volume")
    grams = sheet.answer("grams", sheet.times(volume, _grams_in_ml(sheet, stem), "strength"))
    each = sheet.read(found(rf"gives {NUMBER} kcal/g", stem)[0], "energy")
    sheet.answer("kcal", sheet.times(grams, each, "energy"))


def nutrition_energy(stem: str, sheet: Worksheet) -> None:
    """The kcal of dextrose, and of a day of parenteral nutrition in all."""
    bag, have, sugar, acids, lipid = found(
        rf"for 24 h: {NUMBER} (mL|L) with dextrose {NUMBER}% and amino acids {NUMBER}%, and {NUMBER} mL", stem
    )
    of_sugar, of_acids, of_lipid = found(
        rf"Dextrose gives {NUMBER} kcal/g, amino acids give {NUMBER} kcal/g, .*? gives {NUMBER} kcal/mL", stem
    )
    volume = sheet.converted(sheet.read(bag, "bag"), have, "mL", "bag")
    terms = []
    for name, percent, energy in (("dextrose", sugar, of_sugar), ("amino acids", acids, of_acids)):
        grams = sheet.times(in_hundred(sheet, percent, name), volume, f"bag, {name}")
        terms.append((name, sheet.times(grams, sheet.read(energy, f"energy of {name}"), f"energy of {name}")))
    sheet.answer("dextrose", terms[0][1])
    fat = sheet.times(sheet.read(lipid, "lipids"), sheet.read(of_lipid, "energy of lipids"), "energy of lipids")
    sheet.answer("total", sheet.total([*terms, ("lipids", fat)]))
