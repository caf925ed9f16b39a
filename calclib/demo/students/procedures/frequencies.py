"""“Every 8 h” as doses in a time."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, number, product, quotient
from calclib.demo.students.worksheet import Worksheet

WORDS = {"once": 1, "twice": 2}


def _hours(stem: str) -> Decimal:
    every, times, word = found(
        rf"(?:every {NUMBER} h|{NUMBER} times (?:a day|daily)|(once|twice) (?:a day|daily))", stem
    )
    if every:
        return number(every)
    return quotient(Decimal(24), Decimal(WORDS[word]) if word else number(times))


def share_of_a_day(sheet: Worksheet, daily: Decimal, stem: str) -> Decimal:
    """Return what one dose holds of a day's amount."""
    hours = _hours(stem)
    doses = quotient(Decimal(24), hours)
    if sheet.slips("day-for-dose", "doses in a day") is not None:
        return daily
    if sheet.slips("interval-for-doses", "doses in a day") is not None:
        doses = hours
    if sheet.slips("multiplied-for-divided", "doses in a day") is not None:
        return product(daily, doses)
    if (way := sheet.slips("doses-miscounted", "doses in a day", 2)) is not None:
        doses = doses + 1 if way == 0 or doses == 1 else doses - 1
    return quotient(daily, doses)


def doses_in(sheet: Worksheet, stem: str, period: str) -> Decimal:
    """Return the number of doses in some hours."""
    hours = _hours(stem)
    if sheet.slips("interval-for-doses", "doses") is not None:
        return hours
    if sheet.slips("day-for-period", "doses") is not None:
        return quotient(Decimal(24), hours)
    if sheet.slips("dose-at-both-ends", "doses") is not None:
        return quotient(number(period), hours) + 1
    return quotient(sheet.read(period, "time to supply"), hours)
