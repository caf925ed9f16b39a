"""Milliequivalents: from mass, from percent, and added to bags."""

from __future__ import annotations

from calclib.demo.students.figures import NUMBER, found
from calclib.demo.students.strengths import DRUG
from calclib.demo.students.worksheet import Worksheet
from tests.oracle.mixtures import in_hundred


def from_mass(stem: str, sheet: Worksheet) -> None:
    """The mg of 1 mEq, and the mEq of a mass."""
    (mass,) = found(rf"{NUMBER} mg/mmol", stem)
    (valence,) = found(rf"{NUMBER} mEq/mmol", stem)
    text, have = found(rf"states {NUMBER} {DRUG}\b", stem)
    each = sheet.over(sheet.read(mass, "mass of 1 mmol"), sheet.read(valence, "mEq of 1 mmol"), "mEq of 1 mmol")
    each = sheet.answer("each", each)
    amount = sheet.converted(sheet.read(text, "amount"), have, "mg", "amount")
    sheet.answer("amount", sheet.over(amount, each, "mg of 1 mEq"))


def from_percent(stem: str, sheet: Worksheet) -> None:
    """The g in a volume of a percent strength, and their mEq."""
    (percent,) = found(rf"{NUMBER}%", stem)
    (each,) = found(rf"{NUMBER} mEq/g", stem)
    volume, have = found(rf"{NUMBER} (mL|L)\b", stem)
    grams = sheet.times(
        sheet.converted(sheet.read(volume, "volume"), have, "mL", "volume"),
        in_hundred(sheet, percent, "strength"),
        "strength",
    )
    grams = sheet.answer("grams", grams)
    sheet.answer("amount", sheet.times(grams, sheet.read(each, "mEq of 1 g"), "mEq of 1 g"))


def additive(stem: str, sheet: Worksheet) -> None:
    """The mEq that belong in a bag, and the mL of the vial."""
    order, bag, have, vial = found(rf"{NUMBER} mEq/L .*? bag of {NUMBER} (mL|L) .*? {NUMBER} mEq/mL", stem)
    liters = sheet.converted(sheet.read(bag, "bag"), have, "L", "bag")
    amount = sheet.answer("amount", sheet.times(sheet.read(order, "order"), liters, "bag"))
    sheet.answer("volume", sheet.over(amount, sheet.read(vial, "vial"), "vial"))


def top_up(stem: str, sheet: Worksheet) -> None:
    """The mEq to add to a bag that holds some already, and the mL of the vial."""
    order, held, bag, have, vial = found(
        rf"{NUMBER} mEq/L.*? {NUMBER} mEq/L; .*? holds {NUMBER} (mL|L) .*? {NUMBER} mEq/mL", stem
    )
    missing = sheet.less(sheet.read(order, "order"), sheet.read(held, "strength of the bag"), "strength of the bag")
    liters = sheet.converted(sheet.read(bag, "bag"), have, "L", "bag")
    amount = sheet.answer("amount", sheet.times(missing, liters, "bag"))
    sheet.answer("volume", sheet.over(amount, sheet.read(vial, "vial"), "vial"))
