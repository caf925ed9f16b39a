"""Infusions by gravity, and blood."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, product, quotient
from calclib.demo.students.procedures.choices import choose, side
from calclib.demo.students.procedures.clock import (
    CLOCK,
    TIME,
    clock_after,
    clock_read,
    hours_read,
    minutes_read,
)
from calclib.demo.students.procedures.infusions import drop_factor, drops_a_minute, volume_in_ml
from calclib.demo.students.worksheet import Worksheet

HUNDRED = Decimal(100)


def drops_in_seconds(stem: str, sheet: Worksheet) -> None:
    """The drops a minute, and those of some seconds."""
    drops = sheet.rounded("drops", sheet.answer("drops", drops_a_minute(stem, sheet)))
    each = sheet.converted(drops, "s", "min", "drops a minute")
    seconds = sheet.read(found(rf"drops for {NUMBER} s", stem)[0], "seconds")
    sheet.answer("counted", sheet.times(each, seconds, "seconds"))


def hourly_rate(stem: str, sheet: Worksheet) -> None:
    """The mL/h of drops that were counted."""
    count, time, have = found(rf"count {NUMBER} gtt in {NUMBER} (s|min)", stem)
    minutes = sheet.converted(sheet.read(time, "time"), have, "min", "time")
    drops = sheet.over(sheet.read(count, "drops"), minutes, "time")
    each = sheet.on_the_way(sheet.over(drops, drop_factor(stem, sheet), "drop factor"), "mL a minute")
    sheet.answer("rate", sheet.converted(each, "h", "min", "mL a minute"))


def _minutes(stem: str, sheet: Worksheet, volume: str, have: str) -> Decimal:
    drops = sheet.read(found(rf"at {NUMBER} gtt/min", stem)[0], "drop rate")
    total = sheet.times(volume_in_ml(sheet, volume, have), drop_factor(stem, sheet), "drop factor")
    return sheet.over(total, drops, "drop rate")


def bag_time(stem: str, sheet: Worksheet) -> None:
    """How long a bag lasts at a drop rate."""
    sheet.answer("time", _minutes(stem, sheet, *found(rf"{NUMBER} (mL|L) of", stem)))


def behind(stem: str, sheet: Worksheet) -> None:
    """What should have run in, and what is missing."""
    volume, have, time, unit, past, past_unit, rest = found(
        rf"{NUMBER} (mL|L) of .*? over {TIME} by gravity\. After {TIME}, {NUMBER} mL", stem
    )
    whole = volume_in_ml(sheet, volume, have)
    hourly = sheet.over(whole, hours_read(sheet, time, unit), "time")
    due = sheet.times(hourly, hours_read(sheet, past, past_unit, "time so far"), "time so far")
    due = sheet.rounded("due", sheet.answer("due", due))
    infused = sheet.less(whole, sheet.read(rest, "volume left"), "volume left")
    sheet.answer("behind", sheet.less(due, infused, "volume infused"))


def schedule(stem: str, sheet: Worksheet) -> None:
    """The first drop rate, that of the rest, and whether the change is allowed."""
    volume, have, time, unit, past, past_unit, rest = found(
        rf"{NUMBER} (mL|L) of .*? over {TIME} by gravity; .*? After {TIME}, {NUMBER} mL", stem
    )
    share = quotient(sheet.read(found(rf"up to {NUMBER}%", stem)[0], "share"), HUNDRED)
    factor = drop_factor(stem, sheet)
    minutes = minutes_read(sheet, time, unit)
    each = sheet.over(volume_in_ml(sheet, volume, have), minutes, "time")
    first = sheet.answer("first", sheet.times(each, factor, "drop factor"))
    left = sheet.less(minutes, minutes_read(sheet, past, past_unit, "time so far"), "time so far")
    each = sheet.over(sheet.read(rest, "volume left"), left, "time left")
    second = sheet.answer("second", sheet.times(each, factor, "drop factor"))
    first, second = sheet.rounded("first", first), sheet.rounded("second", second)
    change = product(first, share)
    choose(sheet, "verdict", ("slower", "allowed", "faster"), side(second, first - change, first + change))


def blood_time(stem: str, sheet: Worksheet) -> None:
    """How long a unit of blood takes, and what to do about it."""
    low, high = found(rf"over {NUMBER} h to {NUMBER} h", stem)
    minutes = sheet.answer("time", _minutes(stem, sheet, *found(rf"red cells, {NUMBER} (mL|L)", stem)))
    limits = [sheet.converted(sheet.read(text, "range"), "h", "min", "range") for text in (low, high)]
    at = side(sheet.rounded("time", minutes), limits[0], limits[1])
    choose(sheet, "verdict", ("too short", "within", "too long"), at)


def blood_slow_start(stem: str, sheet: Worksheet) -> None:
    """What is left after a slow start, its mL/h, and when all is in."""
    volume, start, slow, slow_unit, time, unit, first = found(
        rf"holds {NUMBER} mL and is started at {CLOCK}\. .*?for the first {TIME}, .*? is in {TIME} after the start\. "
        rf".*? shows {NUMBER} mL",
        stem,
    )
    left = sheet.less(sheet.read(volume, "volume"), sheet.read(first, "volume given"), "volume given")
    left = sheet.rounded("left", sheet.answer("left", left))
    hours = hours_read(sheet, time, unit)
    rest = sheet.less(hours, hours_read(sheet, slow, slow_unit, "slow start"), "slow start")
    sheet.answer("rate", sheet.over(left, rest, "time left"))
    clock_after(sheet, "end", clock_read(start), product(hours, Decimal(60)))


def chamber(stem: str, sheet: Worksheet) -> None:
    """The fluid to add to a dose in a volume-control chamber, and its drop rate."""
    dose, total, time, have, factor = found(
        rf"dose, {NUMBER} mL in solution, .*? added to {NUMBER} mL in all, to run over {TIME} .*? of {NUMBER} gtt/mL",
        stem,
    )
    volume = sheet.read(total, "volume in all")
    sheet.answer("fluid", sheet.less(volume, sheet.read(dose, "dose"), "dose"))
    drops = sheet.times(volume, sheet.read(factor, "drop factor"), "drop factor")
    sheet.answer("drops", sheet.over(drops, minutes_read(sheet, time, have), "time"))
