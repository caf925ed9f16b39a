"""Infusions by pump and by gravity, on the clock, and titrated."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found
from calclib.demo.students.procedures.clock import clock_after, clock_read, minutes_of
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet


def volume_in_ml(sheet: Worksheet, text: str, have: str) -> Decimal:
    """Return a volume in mL."""
    return sheet.converted(sheet.read(text, "volume"), have, "mL", "volume")


def pump_rate(stem: str, sheet: Worksheet) -> None:
    """The mL/h for a volume over a time."""
    volume, volume_unit, time, time_unit = found(rf"{NUMBER} (mL|L) of .*? over {NUMBER} (min|h)\b", stem)
    hours = sheet.converted(sheet.read(time, "time"), time_unit, "h", "time")
    hours = sheet.on_the_way(hours, "time") if time_unit == "min" else hours
    sheet.answer("rate", sheet.over(volume_in_ml(sheet, volume, volume_unit), hours, "time"))


def drop_rate(stem: str, sheet: Worksheet) -> None:
    """The drops a minute for a volume over a time."""
    sheet.answer("drops", drops_a_minute(stem, sheet))


def drops_a_minute(stem: str, sheet: Worksheet) -> Decimal:
    """Return the drops a minute for a volume over a time."""
    volume, volume_unit, time, time_unit = found(rf"{NUMBER} (mL|L) of .*? over {NUMBER} (min|h)\b", stem)
    minutes = sheet.converted(sheet.read(time, "time"), time_unit, "min", "time")
    each = sheet.on_the_way(sheet.over(volume_in_ml(sheet, volume, volume_unit), minutes, "time"), "mL a minute")
    return sheet.times(each, drop_factor(stem, sheet), "drop factor")


def drop_rate_of_hourly(stem: str, sheet: Worksheet) -> None:
    """The drops a minute for so many mL/h."""
    (rate,) = found(rf"at {NUMBER} mL/h", stem)
    each = sheet.on_the_way(sheet.converted(sheet.read(rate, "rate"), "min", "h", "rate"), "mL a minute")
    sheet.answer("drops", sheet.times(each, drop_factor(stem, sheet), "drop factor"))


def drop_factor(stem: str, sheet: Worksheet) -> Decimal:
    """Return the drop factor of the tubing, or of another."""
    (text,) = found(rf"{NUMBER} gtt/mL", stem)
    factor = sheet.read(text, "drop factor")
    if (way := sheet.slips("wrong-drop-factor", "drop factor", 3)) is not None:
        return [Decimal(n) for n in (10, 15, 20, 60) if Decimal(n) != factor][way]
    return factor


def end_time(stem: str, sheet: Worksheet) -> None:
    """When a bag is empty, by the clock."""
    volume, volume_unit, clock, rate = found(
        rf"{NUMBER} (mL|L) of .*? started at (\d{{4}}) and runs at {NUMBER} mL/h", stem
    )
    hours = sheet.over(volume_in_ml(sheet, volume, volume_unit), sheet.read(rate, "rate"), "rate")
    hours = sheet.on_the_way(hours, "duration")
    clock_after(sheet, "end", clock_read(clock), minutes_of(sheet, hours))


def titrated_rate(stem: str, sheet: Worksheet) -> None:
    """The mL/h for a dose by weight and minute."""
    dose, have = found(rf"{NUMBER} {DRUG}/kg/min", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    minute = sheet.times(sheet.read(dose, "dose"), weight_in_kg(sheet, stem), "weight")
    hour = sheet.converted(minute, "h", "min", "dose a minute")
    amount = sheet.on_the_way(sheet.converted(hour, have, strength.unit, "dose"), "dose an hour")
    sheet.answer("rate", volume_for(sheet, amount, strength))


def titrated_dose(stem: str, sheet: Worksheet) -> None:
    """The dose by weight and minute that a pump delivers."""
    (rate,) = found(rf"at {NUMBER} mL/h", stem)
    strength = strength_read(sheet, *found(STRENGTH, stem))
    hour = drug_in(sheet, sheet.read(rate, "rate"), strength)
    hour = sheet.converted(hour, strength.unit, "mcg", "dose")
    minute = sheet.on_the_way(sheet.converted(hour, "min", "h", "dose an hour"), "dose a minute")
    sheet.answer("dose", sheet.over(minute, weight_in_kg(sheet, stem), "weight"))


def units_rate(stem: str, sheet: Worksheet) -> None:
    """The mL/h for a dose in units an hour."""
    dose, unit = found(rf"{NUMBER} {DRUG}/h IV", stem)
    strength = strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))
    amount = sheet.converted(sheet.read(dose, "dose"), unit, strength.unit, "dose")
    sheet.answer("rate", volume_for(sheet, amount, strength))
