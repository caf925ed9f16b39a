"""Which rows of a table go with the values that a teacher fixed."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from calclib.errors.messages import BadInput
from calclib.models.draws import drawn
from calclib.models.model import FromRow, GivenModel, Grid, ItemModel
from calclib.models.stated import read_own

Row = Mapping[str, Any]


def fitting_rows(model: ItemModel, row: str, fixed: Mapping[str, str], use: Mapping[str, Fraction]) -> tuple[Row, ...]:
    """Return the rows that agree with most of the fixed values, so that drug and numbers go together.

    Args:
        model: The item model.
        row: The name of the row given.
        fixed: Fixed texts by the givens' names.
        use: Values of equivalences other than the default.

    Raises:
        BadInput: A fixed value is no value of its given.
    """
    table: tuple[Row, ...] = model.rows[model.givens[row].draw.table]  # type: ignore[union-attr]
    if not fixed:
        return table
    scores = [_agreement(model, row, one, fixed, use) for one in table]
    return tuple(one for one, score in zip(table, scores, strict=True) if score == max(scores))


def _agreement(
    model: ItemModel, row: str, one: Row, fixed: Mapping[str, str], use: Mapping[str, Fraction]
) -> tuple[int, int]:
    """How many fixed words, and then how many fixed numbers, a row agrees with."""
    words = numbers = 0
    for name, text in fixed.items():
        given = model.givens[name]
        if not isinstance(given.draw, FromRow) or given.draw.row != row:
            continue
        cell = one[given.draw.column]
        if given.unit is None:
            words += text == cell or (isinstance(cell, list) and text in cell)
        else:
            numbers += covers(given, cell, read_own(given, text, use).working, use)
    return words, numbers


def covers(given: GivenModel, cell: Any, value: Fraction | None, use: Mapping[str, Fraction]) -> bool:
    """Tell whether a column's list or range has a value."""
    if value is None:
        return False
    draw = drawn(given.name, cell if isinstance(cell, (list, dict)) else str(cell), given.unit, given.kind)
    if isinstance(draw, Grid):
        return draw.start <= value <= draw.end
    try:
        return any(read_own(given, text, use).working == value for text in getattr(draw, "texts", ()))
    except BadInput:
        return False
