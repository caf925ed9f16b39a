"""Body surface by powers, ideal and adjusted body weight."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, NUMBER, found, product, to_step
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

HUNDREDTH = Decimal("0.01")


def surface_by_powers(stem: str, sheet: Worksheet) -> None:
    """A body surface by a formula with powers, and the dose."""
    (dose,) = found(rf"{NUMBER} mg/m2", stem)
    (height,) = found(rf"is {NUMBER} cm tall", stem)
    factor, first, second = found(
        rf"{NUMBER} x \(height in cm\) to the power {NUMBER} x \(weight in kg\) to the power {NUMBER}", stem
    )
    tall, weight = sheet.read(height, "height"), weight_in_kg(sheet, stem)
    powers = [Decimal(first), Decimal(second)]
    if sheet.slips("parts-exchanged", "powers") is not None:
        powers.reverse()
    by_height = sheet.times(Decimal(factor), DIGITS.power(tall, powers[0]), "height")
    surface = sheet.times(by_height, DIGITS.power(weight, powers[1]), "weight")
    surface = to_step(sheet.answer("surface", surface), HUNDREDTH)
    if sheet.slips("early-rounding", "body surface") is not None:
        surface = to_step(surface, Decimal("0.1"))
    sheet.answer("amount", sheet.times(sheet.read(dose, "dose for each square meter"), surface, "body surface"))


def _ideal(stem: str, sheet: Worksheet) -> Decimal:
    tall, base, each, limit = found(
        rf"is {NUMBER} in tall .*? {NUMBER} kg and {NUMBER} kg more for each inch above {NUMBER} in", stem
    )
    above = sheet.less(sheet.read(tall, "height"), sheet.read(limit, "limit"), "limit of the height")
    more = sheet.times(above, sheet.read(each, "kg for each inch"), "kg for each inch")
    return sheet.answer("ideal", sheet.total([("first weight", sheet.read(base, "first weight")), ("inches", more)]))


def ideal_weight_dose(stem: str, sheet: Worksheet) -> None:
    """The ideal body weight, and the mL for a dose by it."""
    dose, have = found(rf"{NUMBER} {DRUG}/kg of ideal", stem)
    weight = _ideal(stem, sheet)
    if sheet.slips("wrong-weight", "weight") is not None:
        weight = weight_in_kg(sheet, stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    amount = sheet.times(sheet.read(dose, "dose for each kg"), weight, "weight")
    sheet.answer("volume", volume_for(sheet, sheet.converted(amount, have, strength.unit, "amount"), strength))


def adjusted_weight_dose(stem: str, sheet: Worksheet) -> None:
    """The ideal and the adjusted body weight, and a dose by the latter."""
    (dose,) = found(rf"{NUMBER} mg/kg of adjusted", stem)
    (share,) = found(rf"and {NUMBER} of the weight", stem)
    ideal, actual = _ideal(stem, sheet), weight_in_kg(sheet, stem)
    part = product(sheet.less(actual, ideal, "ideal weight"), sheet.read(share, "share"))
    adjusted = sheet.answer("adjusted", sheet.total([("ideal weight", ideal), ("share above", part)]))
    if sheet.slips("wrong-weight", "weight") is not None:
        adjusted = actual
    sheet.answer("amount", sheet.times(sheet.read(dose, "dose for each kg"), adjusted, "weight"))


def surface_from_inches(stem: str, sheet: Worksheet) -> None:
    """A body surface from inches and pounds, and the dose."""
    (dose,) = found(rf"{NUMBER} mg/m2", stem)
    height, weight, divisor = found(rf"is {NUMBER} in tall and weighs {NUMBER} lb\. .*? / {NUMBER}\)", stem)
    squared = sheet.times(sheet.read(height, "height"), sheet.read(weight, "weight"), "weight")
    exact = sheet.rooted(sheet.over(squared, sheet.read(divisor, "divisor"), "divisor"), "body surface")
    surface = to_step(sheet.answer("surface", exact), HUNDREDTH)
    if sheet.slips("early-rounding", "body surface") is not None:
        surface = to_step(surface, Decimal("0.1"))
    sheet.answer("amount", sheet.times(sheet.read(dose, "dose for each square meter"), surface, "body surface"))


def weight_change(stem: str, sheet: Worksheet) -> None:
    """The kg lost, and their percent of the weight before."""
    before, now = found(rf"weighed {NUMBER} kg .*? weighs {NUMBER} kg today", stem)
    was = sheet.read(before, "weight before")
    lost = sheet.answer("lost", sheet.less(was, sheet.read(now, "weight now"), "weight now"))
    sheet.answer("share", sheet.over(sheet.times(lost, Decimal(100), "hundred"), was, "weight before"))
