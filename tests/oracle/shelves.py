"""What to take from a shelf: a vial, a strength, an oral syringe."""

from __future__ import annotations

import re

from calclib.demo.students.conversions import taught
from calclib.demo.students.figures import NUMBER, found, number, product
from calclib.demo.students.procedures.choices import choose, smallest
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet


def vial(stem: str, sheet: Worksheet) -> None:
    """A dose by weight, the vial that holds it, and its volume."""
    (dose,) = found(rf"{NUMBER} mg/kg IV", stem)
    (listed,) = found(r"single-dose vials of (.*?); mixed", stem)
    sizes = re.findall(rf"{NUMBER} (mg|g)\b", listed)
    strength = strength_read(sheet, *found(rf"each holds {STRENGTH}", stem))
    amount = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    amount = sheet.answer("amount", amount)
    held = [product(number(n), taught("g", "mg")[0]) if unit == "g" else number(n) for n, unit in sizes]
    choose(sheet, "vial", [f"{n} {unit} vial" for n, unit in sizes], smallest(amount, held))
    sheet.answer("volume", volume_for(sheet, amount, strength))


def strength(stem: str, sheet: Worksheet) -> None:
    """The weakest vial with which a dose keeps within a volume, and the volume."""
    order, most = found(rf"Order: heparin {NUMBER} units subcut in one injection of not more than {NUMBER} mL", stem)
    (listed,) = found(r"On the shelf are vials of (.*?)\. Choose", stem)
    strengths = re.findall(rf"{NUMBER} units/mL", listed)
    dose = sheet.read(order, "order")
    at = smallest(
        sheet.over(dose, sheet.read(most, "largest volume"), "largest volume"), [number(s) for s in strengths]
    )
    if (way := sheet.slips("wrong-row", "shelf", 2)) is not None:
        at = min(max(at + (1, -1)[way], 0), len(strengths) - 1)
    choose(sheet, "vial", [f"{s} units/mL" for s in strengths], at)
    sheet.answer("volume", sheet.over(dose, number(strengths[at]), "strength"))


def oral_syringe(stem: str, sheet: Worksheet) -> None:
    """A volume by weight, and the oral syringe that holds it."""
    dose, unit = found(rf"{NUMBER} {DRUG}/kg by mouth", stem)
    have = strength_read(sheet, *found(rf"oral liquid, {STRENGTH}", stem))
    amount = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    amount = sheet.converted(amount, unit, have.unit, "amount")
    volume = sheet.answer("volume", volume_for(sheet, amount, have))
    (listed,) = found(r"oral syringes of (.*?)\. Choose", stem)
    sizes = re.findall(rf"{NUMBER} mL", listed)
    choose(sheet, "syringe", [f"{s} mL syringe" for s in sizes], smallest(volume, [number(s) for s in sizes]))
