"""Creatinine clearance, and doses by it."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, found, number, to_step
from calclib.demo.students.procedures.choices import ONE, greatest
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.worksheet import Worksheet

WORDS = {"two": "2", "three": "3", "four": "4"}


def _cockcroft(stem: str, sheet: Worksheet) -> Decimal:
    sex, age = found(rf"(man|woman) who is {NUMBER} years", stem)
    (creatinine,) = found(rf"creatinine is {NUMBER} mg/dL", stem)
    base, divisor, factor = found(rf"\({NUMBER} - age .*?\({NUMBER} x creatinine .*? for women x {NUMBER}", stem)
    years = sheet.less(number(base), sheet.read(age, "age"), "age")
    above = sheet.times(years, weight_in_kg(sheet, stem), "weight")
    below = sheet.times(number(divisor), sheet.read(creatinine, "creatinine"), "creatinine")
    exact = sheet.over(above, below, "creatinine and 72")
    return sheet.times(exact, number(factor), "factor for women") if sex == "woman" else exact


def clearance(stem: str, sheet: Worksheet) -> None:
    """The creatinine clearance by Cockcroft and Gault."""
    sheet.answer("clearance", _cockcroft(stem, sheet))


def clearance_with_floor(stem: str, sheet: Worksheet) -> None:
    """The creatinine clearance by a handbook that sets a floor for the creatinine."""
    sex, age = found(rf"(man|woman) who is {NUMBER} years", stem)
    (creatinine,) = found(rf"creatinine is {NUMBER} micromol/L", stem)
    base, men, women, floor = found(
        rf"\({NUMBER} - age .*? x {NUMBER} for men or {NUMBER} for women .*? below {NUMBER} micromol/L", stem
    )
    years = sheet.less(number(base), sheet.read(age, "age"), "age")
    above = sheet.times(years, weight_in_kg(sheet, stem), "weight")
    factor, other = (men, women) if sex == "man" else (women, men)
    if sheet.slips("wrong-row", "factor for men or women") is not None:
        factor = other
    above = sheet.times(above, number(factor), "factor for men or women")
    below = greatest(sheet, sheet.read(creatinine, "creatinine"), number(floor), "least creatinine")
    sheet.answer("clearance", sheet.over(above, below, "creatinine"))


def _daily(stem: str, sheet: Worksheet, value: Decimal) -> Decimal:
    """Return the mg in 24 h of the row that is nearest to a clearance."""
    (label,) = found(r"mg in 24 h: (.*?)[;.] ?[Uu]se", stem)
    rows = [(number(at), number(dose)) for at, dose in re.findall(rf"(\d+)(?: mL/min)?, {NUMBER}", label)]
    if len(rows) < len(WORDS):
        raise NotUnderstoodError(f"no label stands in {stem!r}")
    at = min(range(len(rows)), key=lambda i: abs(rows[i][0] - value))
    if (way := sheet.slips("wrong-row", "label", 2)) is not None:
        at = min(max(at + (1, -1)[way], 0), len(rows) - 1)
    return sheet.answer("daily", rows[at][1])


def _single(stem: str, sheet: Worksheet, daily: Decimal) -> Decimal:
    (count,) = found(r"in (\w+) equal doses", stem)
    doses = sheet.read(WORDS.get(count, count), "doses")
    if sheet.slips("day-for-dose", "doses") is not None:
        return sheet.answer("amount", daily)
    return sheet.answer("amount", sheet.over(daily, doses, "doses"))


def vancomycin(stem: str, sheet: Worksheet) -> None:
    """The mg of a day by a clearance, those of a dose, its mL, and the g of some days."""
    days, value = found(rf"for {NUMBER} days\. The clearance is {NUMBER} mL/min", stem)
    (strength,) = found(rf"holds {NUMBER} mg/mL", stem)
    daily = _daily(stem, sheet, number(value))
    single = _single(stem, sheet, daily)
    course = sheet.times(daily, sheet.read(days, "days"), "days")
    sheet.answer("course", sheet.converted(course, "mg", "g", "course"))
    sheet.answer("volume", sheet.over(single, sheet.read(strength, "strength"), "strength"))


def kidney_case(stem: str, sheet: Worksheet) -> None:
    """The clearance, the mg of a day and of a dose, and the least mL for it."""
    (strength,) = found(rf"not more than {NUMBER} mg/mL", stem)
    value = to_step(sheet.answer("clearance", _cockcroft(stem, sheet)), ONE)
    single = _single(stem, sheet, _daily(stem, sheet, value))
    sheet.answer("least", sheet.over(single, sheet.read(strength, "greatest strength"), "greatest strength"))
