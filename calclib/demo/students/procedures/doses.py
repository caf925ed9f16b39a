"""Tablets, liquids, injections, powders to mix, insulin."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, found, number, product, quotient, to_step
from calclib.demo.students.procedures.frequencies import doses_in
from calclib.demo.students.strengths import DRUG, STRENGTH, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet


def tablets(stem: str, sheet: Worksheet) -> None:
    """Tablets for one dose."""
    _pieces("tablets", stem, sheet)


def capsules(stem: str, sheet: Worksheet) -> None:
    """Capsules for one dose."""
    _pieces("capsules", stem, sheet)


def _pieces(part: str, stem: str, sheet: Worksheet) -> None:
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    strength, want = found(rf"{NUMBER} {DRUG}/(?:tab|cap)", stem)
    dose = sheet.converted(sheet.read(order, "order"), have, want, "order")
    sheet.answer(part, sheet.over(dose, sheet.read(strength, "strength"), "strength"))


def volume_of_dose(stem: str, sheet: Worksheet) -> None:
    """The mL that hold an ordered amount."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    dose = sheet.converted(sheet.read(order, "order"), have, strength.unit, "order")
    sheet.answer("volume", volume_for(sheet, dose, strength))


def mixed_powder(stem: str, sheet: Worksheet) -> None:
    """The mL to draw from a vial after mixing, by the strength that the label gives."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    vial, vial_unit = found(rf"a vial of {NUMBER} {DRUG}", stem)
    (diluent,) = found(rf"add {NUMBER} mL", stem)
    strength = strength_read(sheet, *found(rf"the solution holds {STRENGTH}", stem))
    dose = sheet.converted(sheet.read(order, "order"), have, strength.unit, "order")
    if sheet.slips("diluent-for-final-volume", "diluent") is not None:
        powder = sheet.converted(number(vial), vial_unit, strength.unit, "vial")
        sheet.answer("volume", product(quotient(dose, powder), number(diluent)))
    elif sheet.slips("powder-for-strength", "vial") is not None:
        sheet.answer("volume", quotient(dose, sheet.converted(number(vial), vial_unit, strength.unit, "vial")))
    elif sheet.slips("diluent-for-strength", "diluent") is not None:
        sheet.answer("volume", quotient(dose, number(diluent)))
    else:
        sheet.answer("volume", volume_for(sheet, dose, strength))


def vials(stem: str, sheet: Worksheet) -> None:
    """Whole vials for one dose and for some days."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} IV", stem)
    vial, want = found(rf"{NUMBER} {DRUG}/vial", stem)
    (period,) = found(rf"vials for {NUMBER} h\.", stem)
    dose = sheet.converted(sheet.read(order, "order"), have, want, "order")
    exact = sheet.over(dose, sheet.read(vial, "vial"), "vial")
    way = "down" if sheet.slips("rounded-down", "vials") is not None else "up"
    needed = sheet.answer("dose", to_step(exact, Decimal(1), way))
    doses = doses_in(sheet, stem, period)
    if sheet.slips("leftovers-kept", "supply") is not None:
        sheet.answer("supply", to_step(product(exact, doses), Decimal(1), "up"))
    else:
        sheet.answer("supply", sheet.times(needed, doses, "doses"))


def correction_insulin(stem: str, sheet: Worksheet) -> None:
    """Units by a scale, added to the mealtime dose."""
    mealtime, glucose = found(rf"lispro {NUMBER} units.*Glucose {NUMBER} mg/dL", stem)
    rows = [(Decimal(0), Decimal(0))]
    rows += [(number(low), number(dose)) for low, dose in re.findall(r"(\d+) to \d+ mg/dL, (\d+) units", stem)]
    at = sum(low <= number(glucose) for low, _ in rows) - 1
    if at < 0 or len(rows) == 1:
        raise NotUnderstoodError(f"no scale stands in {stem!r}")
    if (way := sheet.slips("wrong-row", "scale", 2)) is not None:
        at = min(max(at + (1, -1)[way], 0), len(rows) - 1)
    correction = sheet.answer("correction", rows[at][1])
    sheet.answer("total", sheet.total([("mealtime dose", sheet.read(mealtime, "mealtime dose")),
                                       ("correction dose", correction)]))  # fmt: skip
