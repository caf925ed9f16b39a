"""From what a file says of a given to its kind, its forms and its draw: a list, a range, a formula."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_product
from calclib.errors.messages import BadInput
from calclib.models.model import Choices, Draw, Formula, FromRow, Grid
from calclib.quantity.amounts import parse_amount
from calclib.quantity.clock import parse as parse_clock
from calclib.quantity.kinds import given_kinds
from calclib.quantity.units import Unit

MAX_GRID = 1_000_000
MAX_NUMBER = 10**12


def drawn(name: str, draw: Any, unit: Unit | None, kind: str = "") -> Draw:
    """Return a draw that a list, a range or a formula describes; a range of clock times steps in minutes.

    Raises:
        BadInput: It is none of these, or the range is empty.
    """
    if isinstance(draw, list) and draw:
        return Choices(tuple(str(v) for v in draw))
    if isinstance(draw, Mapping) and set(draw) == {"formula"}:
        return Formula(parse_product(draw["formula"]))
    if isinstance(draw, Mapping) and {"from", "to", "step"} <= set(draw) <= {"from", "to", "step", "unit"}:
        start, end, step = (parse_amount(str(draw[k]))[0] for k in ("from", "to", "step"))
        if kind == "clock":
            start, end = (Fraction(parse_clock(str(draw[k])).total) for k in ("from", "to"))
        if step <= 0 or end < start:
            raise BadInput(f"given {name}: the range must rise from “from” to “to” in steps above 0")
        if max(abs(start), abs(end)) > MAX_NUMBER or (end - start) / step > MAX_GRID:
            raise BadInput(
                f"given {name}: a range may have {MAX_GRID:,} values at the most, none above a million million"
            )
        if "unit" in draw and unit is not None and draw["unit"] != str(unit):
            raise BadInput(f"given {name}: the range is in {draw['unit']}, but the given in {unit}")
        return Grid(start, end, step)
    if isinstance(draw, str):
        return Choices((draw,))
    raise BadInput(f"given {name}: draw must be a list, a range with from, to and step, or a formula")


def check_kind(what: str, kind: str) -> None:
    """Refuse a kind of given that isn't known.

    Raises:
        BadInput: It is none; says the nearest.
    """
    kinds = given_kinds()
    if kind not in kinds:
        near = get_close_matches(kind, kinds, 1)
        hint = f"; did you mean “{near[0]}”?" if near else ""
        raise BadInput(f"{what}: “{kind}” is not a kind of given{hint}; kinds are {', '.join(kinds)}")


def texts_or_row(value: Any) -> tuple[str, ...] | FromRow:
    """Return the texts of a list, or the column of a row that “row.column” names."""
    if isinstance(value, str):
        return FromRow(*value.split("."))
    return tuple(str(v) for v in value)
