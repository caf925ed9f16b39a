"""Pump rates from doses by time, boluses, loading doses and patient-controlled analgesia."""

from __future__ import annotations

from calclib.demo.students.figures import NUMBER, found, number, product
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet


def minute_dose_rate(stem: str, sheet: Worksheet) -> None:
    """The mL/h for a dose a minute or an hour; the weight stands there for nothing."""
    dose, have, time = found(rf"{NUMBER} {DRUG}/(min|h)", stem)
    (weight,) = found(rf"weighs {NUMBER} kg", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    minute = sheet.read(dose, "dose")
    if sheet.slips("weight-not-asked-for", "weight") is not None:
        minute = product(minute, number(weight))
    hour = sheet.converted(sheet.converted(minute, have, strength.unit, "dose"), "h", time, "dose a minute")
    sheet.answer("rate", volume_for(sheet, hour, strength))


def weight_rate_per_hour(stem: str, sheet: Worksheet) -> None:
    """The mL/h for a dose by weight and hour."""
    dose, have = found(rf"{NUMBER} {DRUG}/kg/h", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    hour = sheet.times(sheet.read(dose, "dose"), weight_in_kg(sheet, stem), "weight")
    amount = sheet.on_the_way(sheet.converted(hour, have, strength.unit, "dose"), "dose an hour")
    sheet.answer("rate", volume_for(sheet, amount, strength))


def chart_rate(stem: str, sheet: Worksheet) -> None:
    """A dose in mL/kg/min as a chart shows it, and the mL/h."""
    dose, have = found(rf"{NUMBER} {DRUG}/kg/min", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    amount = sheet.converted(sheet.read(dose, "dose"), have, strength.unit, "dose")
    chart = sheet.answer("chart", volume_for(sheet, amount, strength))
    minute = sheet.times(chart, weight_in_kg(sheet, stem), "weight")
    sheet.answer("rate", sheet.converted(minute, "h", "min", "mL a minute"))


def loading_and_infusion(stem: str, sheet: Worksheet) -> None:
    """A loading dose and an infusion for some hours, together."""
    bolus, unit, dose, have, time = found(rf"{NUMBER} {DRUG}/kg IV.*? {NUMBER} {DRUG}/kg/min IV for {NUMBER} h", stem)
    minutes = sheet.converted(sheet.read(time, "time"), "h", "min", "time")
    infused = sheet.times(sheet.read(dose, "infusion"), minutes, "time")
    terms = [
        ("loading dose", sheet.converted(sheet.read(bolus, "loading dose"), unit, "mg", "loading dose")),
        ("infusion", sheet.converted(infused, have, "mg", "infusion")),
    ]
    per_kg = sheet.answer("per_kg", sheet.total(terms))
    sheet.answer("total", sheet.times(per_kg, weight_in_kg(sheet, stem), "weight"))


def fluid_bolus(stem: str, sheet: Worksheet) -> None:
    """A bolus by weight, and the mL/h that gives it in time."""
    dose, time, have = found(rf"{NUMBER} mL/kg IV over {NUMBER} (min|h)\b", stem)
    volume = sheet.answer("volume", sheet.times(sheet.read(dose, "dose"), weight_in_kg(sheet, stem), "weight"))
    hours = sheet.converted(sheet.read(time, "time"), have, "h", "time")
    sheet.answer("rate", sheet.over(volume, hours, "time"))


def analgesia_bolus(stem: str, sheet: Worksheet) -> None:
    """A bolus that a lockout lets add up to an hourly dose, and its mL."""
    hourly, unit, lockout = found(rf"at {NUMBER} {DRUG}/h is replaced .*? lockout of {NUMBER} min", stem)
    strength = strength_read(sheet, *found(rf"holds {STRENGTH}", stem))
    hours = sheet.converted(sheet.read(lockout, "lockout"), "min", "h", "lockout")
    bolus = sheet.answer("bolus", sheet.times(sheet.read(hourly, "hourly dose"), hours, "lockout"))
    sheet.answer("volume", volume_for(sheet, sheet.converted(bolus, unit, strength.unit, "bolus"), strength))
