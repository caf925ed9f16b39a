"""Infusions by pump and by gravity, on the clock, and titrated."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, NUMBER, found, product, to_step
from calclib.demo.students.procedures.weights import weight_in_kg
from calclib.demo.students.strengths import DRUG, STRENGTH, drug_in, strength_read, volume_for
from calclib.demo.students.worksheet import TimeOfDay, Worksheet

MINUTE = Decimal(1)
DAY = Decimal(1440)


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
    volume, volume_unit, time, time_unit = found(rf"{NUMBER} (mL|L) of .*? over {NUMBER} (min|h)\b", stem)
    minutes = sheet.converted(sheet.read(time, "time"), time_unit, "min", "time")
    each = sheet.on_the_way(sheet.over(volume_in_ml(sheet, volume, volume_unit), minutes, "time"), "mL a minute")
    sheet.answer("drops", sheet.times(each, _drop_factor(stem, sheet), "drop factor"))


def drop_rate_of_hourly(stem: str, sheet: Worksheet) -> None:
    """The drops a minute for so many mL/h."""
    (rate,) = found(rf"at {NUMBER} mL/h", stem)
    each = sheet.on_the_way(sheet.converted(sheet.read(rate, "rate"), "min", "h", "rate"), "mL a minute")
    sheet.answer("drops", sheet.times(each, _drop_factor(stem, sheet), "drop factor"))


def _drop_factor(stem: str, sheet: Worksheet) -> Decimal:
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
    start = Decimal(clock[:2]) * 60 + Decimal(clock[2:])
    minutes = to_step(_minutes(sheet, hours), MINUTE)
    if sheet.slips("counted-backwards", "start") is not None:
        minutes = -minutes
    if sheet.slips("hour-miscounted", "start") is not None:
        minutes += 60
    end = DIGITS.add(start, minutes)
    said = sheet.slips("day-not-turned", "end", int(end >= DAY)) is None
    sheet.note("end", TimeOfDay(end, said))


def _minutes(sheet: Worksheet, hours: Decimal) -> Decimal:
    whole = to_step(hours, Decimal(1), "down")
    if (way := sheet.slips("decimal-hours", "duration", 2)) is not None:
        return whole * 60 + to_step(product(hours - whole, Decimal(100)), MINUTE, ("nearest", "down")[way])
    if sheet.slips("part-hour-dropped", "duration") is not None:
        return whole * 60
    return product(hours, Decimal(60))


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
