"""Volumes, rates and times of infusions by pump."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found
from calclib.demo.students.procedures.choices import whole_ones
from calclib.demo.students.procedures.clock import (
    CLOCK,
    TIME,
    clock_after,
    clock_read,
    hours_read,
    minutes_between,
    minutes_of,
)
from calclib.demo.students.procedures.infusions import volume_in_ml
from calclib.demo.students.worksheet import Worksheet

RUN = rf"{NUMBER} (mL|L) of .*? at {NUMBER} mL/h for {TIME}"


def duration(stem: str, sheet: Worksheet) -> None:
    """How long a bag lasts."""
    volume, have, rate = found(rf"{NUMBER} (mL|L) of .*? at {NUMBER} mL/h", stem)
    hours = sheet.over(volume_in_ml(sheet, volume, have), sheet.read(rate, "rate"), "rate")
    sheet.answer("time", minutes_of(sheet, hours))


def _left(stem: str, sheet: Worksheet) -> tuple[Decimal, Decimal]:
    """Return the mL left in a bag that has run for some time, and the rate."""
    volume, have, text, time, unit = found(RUN, stem)
    rate = sheet.read(text, "rate")
    infused = sheet.times(rate, hours_read(sheet, time, unit), "time")
    left = sheet.less(volume_in_ml(sheet, volume, have), infused, "volume infused")
    return sheet.answer("left", left), rate


def remaining(stem: str, sheet: Worksheet) -> None:
    """What is left in a bag, and how long it lasts."""
    left, rate = _left(stem, sheet)
    sheet.answer("time", minutes_of(sheet, sheet.over(sheet.rounded("left", left), rate, "rate")))


def rate_after_change(stem: str, sheet: Worksheet) -> None:
    """What is left in a bag, and the mL/h that give it over a new time."""
    left, _ = _left(stem, sheet)
    time, unit = found(rf"over the next {TIME}", stem)
    hours = hours_read(sheet, time, unit, "new time")
    sheet.answer("rate", sheet.over(sheet.rounded("left", left), hours, "new time"))


def end_from_reading(stem: str, sheet: Worksheet) -> None:
    """What is still to run by the pump's reading, and when it is in."""
    now, shown, volume, have, rate = found(
        rf"at {CLOCK}\. The pump shows {NUMBER} mL infused of {NUMBER} (mL|L) of .*? rate {NUMBER} mL/h", stem
    )
    left = sheet.less(volume_in_ml(sheet, volume, have), sheet.read(shown, "volume infused"), "volume infused")
    left = sheet.answer("left", left)
    clock_after(sheet, "end", clock_read(now), minutes_of(sheet, sheet.over(left, sheet.read(rate, "rate"), "rate")))


def volume_infused(stem: str, sheet: Worksheet) -> None:
    """The mL that have run in."""
    rate, time, have = found(rf"at {NUMBER} mL/h for {TIME}", stem)
    sheet.answer("infused", sheet.times(sheet.read(rate, "rate"), hours_read(sheet, time, have), "time"))


def rate_by_the_clock(stem: str, sheet: Worksheet) -> None:
    """The time between two times of the day, and the mL/h that fit."""
    volume, have, start, end = found(rf"{NUMBER} (mL|L) of .*? at {CLOCK} .*? by {CLOCK}", stem)
    minutes = sheet.answer("time", minutes_between(sheet, start, end))
    hours = sheet.on_the_way(sheet.converted(minutes, "min", "h", "time"), "time")
    sheet.answer("rate", sheet.over(volume_in_ml(sheet, volume, have), hours, "time"))


def bags(stem: str, sheet: Worksheet) -> None:
    """The mL of some hours, and the bags."""
    rate, size, have, hours = found(rf"at {NUMBER} mL/h\. .*?bags with {NUMBER} (mL|L)\. .*? bags for {NUMBER} h", stem)
    volume = sheet.times(sheet.read(rate, "rate"), sheet.read(hours, "time"), "time")
    bag = sheet.converted(sheet.read(size, "bag"), have, "mL", "bag")
    sheet.answer("bags", whole_ones(sheet, sheet.over(sheet.answer("volume", volume), bag, "bag"), "bags"))
