"""Rounding rules in words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from calclib.quantity.writing import plural, singular, write_number, write_quantity

PLACES = {
    Fraction(1): "whole",
    Fraction(1, 2): "half",
    Fraction(1, 4): "quarter",
    Fraction(1, 10): "tenth",
    Fraction(1, 100): "hundredth",
    Fraction(1, 1000): "thousandth",
}
# Said as "tenth of an hour" and the like; every other unit takes "a".
SPOKEN = {"h": "an hour", "min": "a minute", "s": "a second"}
HOUR = {"h": "hour", "min": "minute", "s": "second"}
HOURS = {"h": "hours", "min": "minutes", "s": "seconds"}
TIES = {
    "half_up": "",
    "half_even": " A number exactly half way goes to the even digit.",
    "half_stays": " An exact half stays.",
}


def rule_text(bands: Sequence[tuple[Fraction | None, Fraction]], mode: str, tie: str, unit: str) -> str:
    """One or two sentences that tell the student how to round an answer in `unit`.

    Args:
        bands: (limit, step) from small to large; the last limit is None.
        mode: `nearest`, `down` or `up`.
        tie: `half_up`, `half_even` or `half_stays`.
        unit: Unit of the answer, "" for a bare number.
    """
    if len(bands) == 1:
        return _one_step(bands[0][1], mode, tie, unit)
    parts = [_limit(below, unit) + _place_alone(step, mode, unit) for below, step in bands]
    return _capitalised("; ".join(parts)) + "." + _tie(mode, tie)


def _one_step(step: Fraction, mode: str, tie: str, unit: str) -> str:
    if step == 0:
        return "Do not round."
    beginning = {"nearest": "Round to the nearest", "down": "Round down to a", "up": "Round up to the next"}[mode]
    cut = " Drop the remainder, however large it is." if mode == "down" else ""
    return f"{beginning} {_place(step, unit)}.{cut}{_tie(mode, tie)}"


def _place(step: Fraction, unit: str) -> str:
    word = PLACES.get(step)
    one = singular(unit)
    if word is None:
        return write_quantity(step, unit)
    if word == "whole":
        return f"whole {HOUR.get(unit, one) or 'number'}"
    if not unit:
        return f"{word} ({write_number(step)})"
    if word in ("half", "quarter") and "/" not in unit:
        return f"{word} {one} ({write_quantity(step, unit)})"
    return f"{word} of {SPOKEN.get(unit, f'a {one}')} ({write_quantity(step, unit)})"


def _place_alone(step: Fraction, mode: str, unit: str) -> str:
    if step == 0:
        return "do not round"
    word = PLACES.get(step)
    direction = {"nearest": "round to", "down": "cut off after", "up": "round up to"}[mode]
    if word is None:
        return f"{direction} steps of {write_quantity(step, unit)}"
    if word == "whole":
        return f"{direction} whole {HOURS.get(unit, plural(unit)) or 'numbers'}"
    places = "halves" if word == "half" else f"{word}s"
    return f"{direction} {places} ({write_quantity(step, unit)})"


def _limit(below: Fraction | None, unit: str) -> str:
    return "otherwise " if below is None else f"below {write_quantity(below, unit)} "


def _tie(mode: str, tie: str) -> str:
    return TIES[tie] if mode == "nearest" else ""


def _capitalised(text: str) -> str:
    return text[:1].upper() + text[1:]
