"""Orders read with labels: bottles, tablets to take home, vials after mixing, syringes."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, found, number, product, quotient
from calclib.demo.students.procedures.choices import choose, smallest, whole_ones
from calclib.demo.students.procedures.clock import CLOCK, clock_after, clock_read
from calclib.demo.students.procedures.frequencies import doses_in
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, Strength, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

DAY = "24"


def _dose_volume(sheet: Worksheet, order: str, have: str, strength: Strength) -> Decimal:
    return volume_for(sheet, sheet.converted(sheet.read(order, "order"), have, strength.unit, "order"), strength)


def order_and_label(stem: str, sheet: Worksheet) -> None:
    """The mL for an order, among numbers that do not matter."""
    order, have = found(rf"Order for .*?: [a-z -]+ {NUMBER} {DRUG} ", stem)
    strength = strength_read(sheet, *found(rf"label: .*?{STRENGTH}", stem))
    sheet.answer("volume", _dose_volume(sheet, order, have, strength))


def doses_in_bottle(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, and the full doses of a bottle."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    strength = strength_read(sheet, *found(rf"reads: .*?{STRENGTH}", stem))
    water, whole = found(rf"Add {NUMBER} mL of water to make {NUMBER} mL", stem)
    volume = sheet.answer("volume", _dose_volume(sheet, order, have, strength))
    bottle = sheet.read(whole, "bottle")
    if sheet.slips("diluent-for-final-volume", "bottle") is not None:
        bottle = number(water)
    sheet.answer("doses", sheet.over(bottle, volume, "volume of a dose"))


def home_tablets(stem: str, sheet: Worksheet) -> None:
    """The mg that a patient takes of two strengths, for one dose and a day."""
    first, one, have, second, other, unit = found(
        rf"{NUMBER} tablets? \({NUMBER} {DRUG}/tablet\) and {NUMBER} tablets? \({NUMBER} {DRUG}/tablet\)", stem
    )
    terms = []
    for count, each, held, name in ((first, one, have, "first"), (second, other, unit, "second")):
        strength = sheet.converted(sheet.read(each, f"{name} strength"), held, "mg", f"{name} strength")
        count_read = sheet.read(count, f"{name} tablets")
        terms.append((f"{name} tablets", sheet.times(strength, count_read, f"number of {name} tablets")))
    dose = sheet.answer("dose", sheet.total(terms))
    sheet.answer("daily", sheet.times(dose, doses_in(sheet, stem, DAY), "doses"))


def tablets_for_days(stem: str, sheet: Worksheet) -> None:
    """The tablets of a dose, and those of some days."""
    order, have, days = found(rf"Order: .*? {NUMBER} {DRUG} .*? for {NUMBER} days", stem)
    text, want = found(rf"{NUMBER} {DRUG}/tablet", stem)
    dose = sheet.converted(sheet.read(order, "order"), have, want, "order")
    each = sheet.answer("each", sheet.over(dose, sheet.read(text, "strength"), "strength"))
    day = sheet.times(each, doses_in(sheet, stem, DAY), "doses of a day")
    sheet.answer("supply", sheet.times(day, sheet.read(days, "days"), "days"))


def diluent_for_strength(stem: str, sheet: Worksheet) -> None:
    """The mL of a solution of some strength, and the diluent for it."""
    vial, have, powder = found(rf"holds {NUMBER} {DRUG} of .*? takes up {NUMBER} mL", stem)
    strength, unit = found(rf"strength of {NUMBER} {DRUG}/mL", stem)
    amount = sheet.converted(sheet.read(vial, "vial"), have, unit, "vial")
    after = sheet.answer("after", sheet.over(amount, sheet.read(strength, "strength"), "strength"))
    diluent = sheet.less(after, sheet.read(powder, "powder"), "powder")
    if sheet.slips("diluent-for-final-volume", "diluent") is not None:
        diluent = after
    sheet.answer("diluent", diluent)


def multi_strength_vial(stem: str, sheet: Worksheet) -> None:
    """The strength of a vial by what was added, and the mL of a dose."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    rows = re.findall(rf"add {NUMBER} mL for {NUMBER} {DRUG}/mL", stem)
    (added,) = found(rf"marked: {NUMBER} mL added", stem)
    at = next((i for i, row in enumerate(rows) if row[0] == added), None)
    if at is None:
        raise NotUnderstoodError(f"the label says nothing about {added} mL")
    if sheet.slips("wrong-row", "label") is not None:
        at = (at + 1) % len(rows)
    _, each, unit = rows[at]
    strength = sheet.read(each, "strength")
    if sheet.slips("diluent-for-final-volume", "label") is not None:
        vial, held = found(rf"vial holds {NUMBER} {DRUG} of", stem)
        strength = quotient(sheet.converted(number(vial), held, unit, "vial"), number(added))
    strength = sheet.answer("strength", strength)
    dose = sheet.converted(sheet.read(order, "order"), have, unit, "order")
    sheet.answer("volume", sheet.over(dose, strength, "strength"))


def multi_dose_vial(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, the full doses of a vial, and until when it may be used."""
    start, vial, have = found(rf"At {CLOCK} .*? vial of {NUMBER} {DRUG} of", stem)
    whole, hours, order, unit = found(
        rf"measures {NUMBER} mL and may be used for {NUMBER} h\. .*? receives {NUMBER} {DRUG}\b", stem
    )
    strength = strength_read(sheet, vial, have, whole)
    volume = sheet.answer("volume", _dose_volume(sheet, order, unit, strength))
    sheet.answer("doses", sheet.over(number(whole), volume, "volume of a dose"))
    clock_after(sheet, "last", clock_read(start), product(sheet.read(hours, "hours"), Decimal(60)))


def choose_syringe(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, and the smallest syringe that holds it."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    volume = sheet.answer("volume", _dose_volume(sheet, order, have, strength))
    (listed,) = found(r"syringes of (.*?)\. ", stem)
    sizes = re.findall(rf"{NUMBER} mL", listed)
    choose(sheet, "syringe", [f"{size} mL" for size in sizes], smallest(volume, [number(size) for size in sizes]))


def divided_injection(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, the injections into which it is divided, and the mL of each."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    most = sheet.read(found(rf"not more than {NUMBER} mL", stem)[0], "maximum")
    volume = sheet.answer("volume", _dose_volume(sheet, order, have, strength))
    count = whole_ones(sheet, sheet.over(volume, most, "maximum"), "injections")
    sheet.answer("each", sheet.over(volume, sheet.answer("injections", count), "injections"))


def push_in_steps(stem: str, sheet: Worksheet) -> None:
    """The mL of a dose, and those of one step of a slow push."""
    order, have, minutes = found(rf"Order: .*? {NUMBER} {DRUG} IV push over {NUMBER} min", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    (seconds,) = found(rf"every {NUMBER} s\b", stem)
    volume = sheet.answer("volume", _dose_volume(sheet, order, have, strength))
    time = sheet.converted(sheet.read(minutes, "time"), "min", "s", "time")
    steps = sheet.over(time, sheet.read(seconds, "step"), "step")
    sheet.answer("each", sheet.over(volume, steps, "steps"))


def prefilled_syringe(stem: str, sheet: Worksheet) -> None:
    """A dose by weight, the syringe, and the mL to push out."""
    (dose,) = found(rf"{NUMBER} mg/kg subcut", stem)
    (listed,) = found(r"with marks: (.*?)\. Choose", stem)
    sizes: list[str] = []
    strengths: list[str] = []
    for part, each in re.findall(rf"([^()]*)\({NUMBER} mg/mL\)", listed):
        marks = re.findall(rf"{NUMBER} mg", part)
        sizes += marks
        strengths += [each] * len(marks)
    amount = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    amount = sheet.answer("amount", amount)
    at = smallest(amount, [number(size) for size in sizes])
    choose(sheet, "size", [f"{size} mg" for size in sizes], at)
    left = sheet.less(number(sizes[at]), amount, "dose")
    sheet.answer("out", sheet.over(left, sheet.read(strengths[at], "strength"), "strength"))
