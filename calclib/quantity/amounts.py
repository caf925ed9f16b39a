"""Amounts as data files write them: a number and a unit."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import read_number
from calclib.wording.facts import fact

_AMOUNT = re.compile(r"\s*(-?[\d,]+(?:\.\d+)?(?:/\d+)?)\s*(.*?)\s*", re.ASCII)


@lru_cache(maxsize=8192)
def parse_amount(text: str, kind: str | None = None) -> tuple[Fraction, Unit]:
    """Return number and unit of a text such as "4 mL/kg/h"; a number alone has the empty unit.

    Args:
        text: The text from a data file.
        kind: The kind of quantity that decides what g, kg and oz stand for.

    Raises:
        BadInput: The text is no number with a unit.
    """
    match = _AMOUNT.fullmatch(text) if len(text) <= 100 else None
    if match is None:
        raise BadInput(fact("errors_quantity.no_amount", text=text[:40]))
    return read_number(match[1]), parse_unit(match[2], kind if match[2] else None)
