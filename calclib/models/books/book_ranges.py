"""How books write ranges: “20-40 mg/kg/day”, “20 to 40 mg/kg/day”, “between 1 1/2 and 4 h”."""

from __future__ import annotations

import re
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.models.books.book_numbers import numerals

_END = r"((?:\d[\d,]*)?\.?\d+(?:/\d+)?)"
_RANGE = re.compile(rf"(?:from )?{_END}(\D*?)(?: ?[-—] ?| to ){_END} ?([A-Za-z%µμ].*)")
_BETWEEN = re.compile(rf"between {_END}(\D*?) and {_END} ?([A-Za-z%µμ].*)")


def range_form(text: str) -> tuple[str, str] | None:
    """Return both ends of “20-40 mg/kg/day”, “20 to 40 mg/kg/day” or “500 mg to 1 g”; None for anything else.

    A lower end without a unit, or with the beginning of the other's, takes the other's: “2 mg-4 mg/kg” is from 2 mg/kg.

    Args:
        text: A text of some dozens of characters at the most.

    Raises:
        BadInput: The range does not rise.
    """
    plain = numerals(text)
    match = _RANGE.fullmatch(plain) or _BETWEEN.fullmatch(plain)
    if match is None:
        return None
    low, short, high, unit = (piece.strip() for piece in match.groups())
    if unit.startswith(short):
        if _number(low) >= _number(high):
            raise BadInput(f"the range “{text}” does not rise; write the lower end first")
        short = unit
    return f"{low} {short}", f"{high} {unit}"


def _number(text: str) -> Fraction:
    try:
        return Fraction(text.replace(",", ""))
    except ZeroDivisionError:
        raise BadInput(f"“{text}” divides by zero") from None
