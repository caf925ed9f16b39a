"""Times of the day: read, counted on, counted between."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, NUMBER, found, product, to_step
from calclib.demo.students.procedures.choices import ONE
from calclib.demo.students.worksheet import TimeOfDay, Worksheet

CLOCK = r"(\d{4})\b"
TIME = rf"{NUMBER} (min|h)\b"
DAY = Decimal(1440)
HUNDRED = Decimal(100)
HOUR = Decimal(60)
TOO_MUCH = HUNDRED - HOUR
"""Minutes too many where an hour of 100 minutes is borrowed or carried."""


def clock_read(text: str) -> Decimal:
    """Return the minutes after midnight of a time such as "2315"."""
    return Decimal(text[:2]) * 60 + Decimal(text[2:])


def hours_read(sheet: Worksheet, text: str, have: str, place: str = "time") -> Decimal:
    """Return a duration in hours."""
    return sheet.converted(sheet.read(text, place), have, "h", place)


def minutes_read(sheet: Worksheet, text: str, have: str, place: str = "time") -> Decimal:
    """Return a duration in minutes."""
    return sheet.converted(sheet.read(text, place), have, "min", place)


def minutes_of(sheet: Worksheet, hours: Decimal) -> Decimal:
    """Return hours as minutes."""
    whole = to_step(hours, ONE, "down")
    if (way := sheet.slips("decimal-hours", "duration", 2)) is not None:
        return whole * 60 + to_step(product(hours - whole, HUNDRED), ONE, ("nearest", "down")[way])
    if sheet.slips("part-hour-dropped", "duration") is not None:
        return whole * 60
    return product(hours, Decimal(60))


def clock_after(sheet: Worksheet, part: str, start: Decimal, minutes: Decimal) -> None:
    """Answer with the time so many minutes after a start."""
    minutes = to_step(minutes, ONE)
    if sheet.slips("counted-backwards", "start") is not None:
        minutes = -minutes
    if sheet.slips("hour-miscounted", "start") is not None:
        minutes += 60
    if sheet.slips("hundred-borrowed", "start", int(start % HOUR + minutes % HOUR >= HUNDRED)) is not None:
        minutes -= TOO_MUCH
    end = DIGITS.add(start, minutes)
    said = sheet.slips("day-not-turned", "end", int(end >= DAY)) is None
    sheet.note(part, TimeOfDay(end, said))


def minutes_between(sheet: Worksheet, start: str, end: str) -> Decimal:
    """Return the minutes from one time to the next, less than a day later."""
    later = clock_read(end) - clock_read(start)
    if sheet.slips("sixty-as-hundred", "times") is not None:
        later = Decimal(end) - Decimal(start)
        return later if later > 0 else later + 24 * HUNDRED
    if sheet.slips("hundred-borrowed", "times", int(clock_read(end) % HOUR < clock_read(start) % HOUR)) is not None:
        later += TOO_MUCH
    if sheet.slips("hour-miscounted", "times") is not None:
        later += 60
    return later if later > 0 else later + DAY


def twenty_four_hour(stem: str, sheet: Worksheet) -> None:
    """A time as people say it, as a chart needs it."""
    hour, minute, when = found(r"at (\d+):(\d\d) (in the morning|in the afternoon|in the evening|at night)", stem)
    hours = Decimal(hour) % 12
    evening = when in ("in the afternoon", "in the evening") or (when == "at night" and hours >= 6)
    if evening and sheet.slips("twelve-forgotten", "hour") is None:
        hours += 12
    if sheet.slips("hour-miscounted", "hour") is not None:
        hours += 1
    sheet.note("time", TimeOfDay(hours * 60 + Decimal(minute)))


def time_between(stem: str, sheet: Worksheet) -> None:
    """The minutes and hours between two times."""
    minutes = sheet.answer("minutes", minutes_between(sheet, *found(rf"from {CLOCK} to {CLOCK}", stem)))
    sheet.answer("hours", sheet.converted(minutes, "min", "h", "minutes"))


def dose_times(stem: str, sheet: Worksheet) -> None:
    """The hours from the first dose to the last, and the time of the last."""
    every, count, first = found(rf"every {NUMBER} h, {NUMBER} doses in all.*? at {CLOCK}", stem)
    gaps = sheet.read(count, "doses")
    if sheet.slips("dose-at-both-ends", "doses") is None:
        gaps -= 1
    wait = sheet.answer("wait", sheet.times(gaps, sheet.read(every, "interval"), "interval"))
    clock_after(sheet, "last", clock_read(first), product(wait, Decimal(60)))


def latest_start(stem: str, sheet: Worksheet) -> None:
    """When to start at the latest."""
    volume, have, rate, end = found(rf"{NUMBER} (mL|L) of .*? at {NUMBER} mL/h .*? by {CLOCK}", stem)
    amount = sheet.converted(sheet.read(volume, "volume"), have, "mL", "volume")
    minutes = minutes_of(sheet, sheet.over(amount, sheet.read(rate, "rate"), "rate"))
    finish = clock_read(end)
    start = to_step(sheet.less(finish, minutes, "duration"), ONE)
    if sheet.slips("hundred-borrowed", "duration", int(finish % HOUR < minutes % HOUR)) is not None:
        start += TOO_MUCH
    sheet.note("start", TimeOfDay(start))
