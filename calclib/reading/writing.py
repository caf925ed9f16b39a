"""How a reading is shown back: safe notation, exact."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from calclib.reading.records import Unit

_SHOWN = {"million_units": "million units", "m": "meters", "degC": "°C", "degF": "°F"}


def shown_number(value: Fraction) -> str:
    """ "1,250", "0.5"; a fraction that no decimal ends, as "10/3"."""
    bottom = value.denominator
    if bottom == 1:
        return f"{value.numerator:,}"
    twos = (bottom & -bottom).bit_length() - 1
    rest, fives = bottom >> twos, 0
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    places = max(twos, fives)
    if rest != 1 or places > 12:
        return f"{value.numerator:,}/{bottom:,}"
    digits = str(abs(value.numerator) * 10**places // bottom).rjust(places + 1, "0")
    return f"{'-' if value < 0 else ''}{int(digits[:-places]):,}.{digits[-places:]}"


@lru_cache(maxsize=10_000)
def shown_unit(unit: Unit) -> str:
    """ "mL/h", "mcg/kg/min"; a unit that only divides is shown as "per h"."""
    if not unit:
        return ""
    top = "·".join(_powered(word, power) for word, power in unit if power > 0)
    bottom = "/".join(_powered(word, -power) for word, power in unit if power < 0)
    if not top:
        return f"per {bottom}"
    return f"{top}/{bottom}" if bottom else top


def _powered(word: str, power: int) -> str:
    name = _SHOWN.get(word, word)
    return name if power == 1 else f"{name}^{power}"


def shown_quantity(value: Fraction, unit: Unit) -> str:
    """ "125 mL/h", "5%", "3 dose/day"."""
    name = shown_unit(unit)
    if not name:
        return shown_number(value)
    return f"{shown_number(value)}{'' if name[0] in '%°' else ' '}{name}"


_DAYS = {-1: "day before", 0: "same day", 1: "next day"}


def shown_clock(minutes: int, days: int | None) -> str:
    """ "0130", "0130 next day", "2205 day before"."""
    time = f"{minutes // 60:02d}{minutes % 60:02d}"
    if days is None:
        return time
    return f"{time} {_DAYS.get(days, f'{days} days later')}"
