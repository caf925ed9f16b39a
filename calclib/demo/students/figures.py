"""Numbers as a student meets them: read from a problem's text, worked with in decimals, written down again."""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal, localcontext

# A calculator of forty digits; what it shows is trusted to thirty places, so that 0.4999... of a third is a half.
DIGITS = Context(prec=40, rounding=ROUND_HALF_UP)
SHOWN = Decimal("1e-28")
HALF = Decimal("0.5")
NUMBER = r"(\d[\d,]*(?:\.\d+)?)"
MIXED = r"((?:\d+ )?\d+/\d+|\d[\d,]*(?:\.\d+)?)"
"""A number that may be a fraction or a whole number with a fraction: 3/4, 1 1/2."""


class NotUnderstoodError(ValueError):
    """The text of a problem is not of the kind that its label promises."""


def number(text: str) -> Decimal:
    """Return a printed number such as "1,250", "0.5", "3/4" or "1 1/2"."""
    if "/" not in text:
        return Decimal(text.replace(",", ""))
    whole, _, part = text.rpartition(" ")
    top, below = part.split("/")
    return DIGITS.add(Decimal(whole or 0), quotient(Decimal(top), Decimal(below)))


def found(pattern: str, text: str) -> tuple[str, ...]:
    """Return what the groups of a pattern hold where it first fits; "" for a group that is not there.

    Raises:
        NotUnderstoodError: It fits nowhere.
    """
    match = re.search(pattern, text)
    if match is None:
        raise NotUnderstoodError(f"nothing like {pattern!r} stands in {text!r}")
    return tuple(group or "" for group in match.groups())


def product(a: Decimal, b: Decimal) -> Decimal:
    """Return a times b."""
    return DIGITS.multiply(a, b)


def quotient(a: Decimal, b: Decimal) -> Decimal:
    """Return a divided by b; a itself where b is 0, as one who can't divide goes on all the same."""
    return DIGITS.divide(a, b) if b else a


def root(a: Decimal) -> Decimal:
    """Return the square root of a."""
    return DIGITS.sqrt(a)


def to_step(value: Decimal, step: Decimal, way: str = "nearest", tie: str = "up") -> Decimal:
    """Return a value rounded to a multiple of `step`.

    Args:
        value: What is rounded.
        step: Such as 0.1 or 0.5; 0 rounds nothing.
        way: nearest, down or up.
        tie: Where an exact half goes: up, to the even digit ("even"), or nowhere ("stays").
    """
    if not step:
        return value
    half = ROUND_HALF_EVEN if tie == "even" else ROUND_HALF_UP
    with localcontext(DIGITS):
        steps = (value / step).quantize(SHOWN, ROUND_HALF_UP)
        if way == "nearest" and tie == "stays" and abs(steps % 1) == HALF:
            return value
        mode = {"nearest": half, "down": ROUND_FLOOR, "up": ROUND_CEILING}[way]
        return steps.quantize(Decimal(1), mode) * step


def to_digits(value: Decimal, count: int) -> Decimal:
    """Return a value with so many digits that count."""
    return Context(prec=count, rounding=ROUND_HALF_UP).plus(value)


def written(value: Decimal, commas: bool = True) -> str:
    """Return a number as it is safely written: "1,250", "0.5", "5"."""
    text = f"{value:,f}" if commas else f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
