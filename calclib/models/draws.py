"""From what a file says of a given to its kind, its forms and its draw: a list, a range, a formula."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_product
from calclib.errors.messages import BadInput
from calclib.errors.nearest import nearest_or_nothing
from calclib.models.model import AgeFor, Choices, Draw, Formula, FromRow, Grid
from calclib.quantity.amounts import parse_amount
from calclib.quantity.clock import parse as parse_clock
from calclib.quantity.kinds import given_kinds
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact

MAX_GRID = 1_000_000
MAX_NUMBER = 10**12


def drawn(name: str, draw: Any, unit: Unit | None, kind: str = "") -> Draw:
    """Return a draw that a list, a range, a formula or a weight describes; a range of clock times steps in minutes.

    Raises:
        BadInput: It is none of these, or the range is empty.
    """
    if isinstance(draw, list) and draw:
        return Choices(tuple(str(v) for v in draw))
    if isinstance(draw, Mapping) and set(draw) == {"formula"}:
        return Formula(parse_product(draw["formula"]))
    if isinstance(draw, Mapping) and set(draw) == {"age_for", "group"} and kind == "text":
        return AgeFor(str(draw["age_for"]), str(draw["group"]))
    if isinstance(draw, Mapping) and {"from", "to", "step"} <= set(draw) <= {"from", "to", "step", "unit"}:
        start, end, step = (parse_amount(str(draw[k]))[0] for k in ("from", "to", "step"))
        if kind == "clock":
            start, end = (Fraction(parse_clock(str(draw[k])).total) for k in ("from", "to"))
        if step <= 0 or end < start:
            raise BadInput(fact("errors_models.range_must_rise", name=name))
        if max(abs(start), abs(end)) > MAX_NUMBER or (end - start) / step > MAX_GRID:
            raise BadInput(fact("errors_models.range_too_large", name=name, most=MAX_GRID))
        if "unit" in draw and unit is not None and draw["unit"] != str(unit):
            raise BadInput(fact("errors_models.unit_of_range", name=name, range=str(draw["unit"]), unit=str(unit)))
        return Grid(start, end, step)
    if isinstance(draw, str):
        return Choices((draw,))
    raise BadInput(fact("errors_models.no_draw", name=name))


def check_kind(what: Fact, kind: str) -> None:
    """Refuse a kind of given that isn't known.

    Raises:
        BadInput: It is none; says the nearest.
    """
    kinds = given_kinds()
    if kind not in kinds:
        raise BadInput(
            fact(
                "errors_models.no_kind_of_given",
                what=what,
                given_kind=kind,
                hint=nearest_or_nothing(kind, kinds),
                known=tuple(kinds),
            )
        )


def texts_or_row(value: Any) -> tuple[str, ...] | FromRow:
    """Return the texts of a list, or the column of a row that “row.column” names."""
    if isinstance(value, str):
        return FromRow(*value.split("."))
    return tuple(str(v) for v in value)
