"""Numbers that an item model takes from a formula by name, so that each stands once with its source.

“formulas.mosteller_divisor” in a model is the number of that name in `calclib/formulas/constants.toml`; the names of
bands of a weight stand there too. It may stand for a constant, an exponent, the bands of a step, or a cell of a table.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from calclib.errors.file_lines import FileLines
from calclib.errors.messages import BadInput
from calclib.formulas.constants import band_texts, constant_text

_NAMED = re.compile(r"formulas\.([a-z0-9_]{1,60})")
_STEP_FIELDS = ("constants", "exponent", "bands")

Place = tuple[str | int, ...]


def with_formula_numbers(data: Mapping[str, Any], lines: FileLines) -> dict[str, Any]:
    """Return what a model's file holds with each name of a formula's number replaced by the number and its unit.

    Args:
        data: What the file holds.
        lines: Where its values stand.

    Raises:
        BadInput: No formula has a number of that name; with the line.
    """
    result = dict(data)
    if "constants" in data:
        result["constants"] = _replaced(data["constants"], ("constants",), lines)
    if "table" in data:
        result["table"] = _replaced(data["table"], ("table",), lines)
    result["step"] = [
        step
        if step is None
        else {
            name: _replaced(value, ("step", number, name), lines) if name in _STEP_FIELDS else value
            for name, value in step.items()
        }
        for number, step in enumerate(data["step"])
    ]
    return result


def _replaced(value: Any, place: Place, lines: FileLines) -> Any:
    if isinstance(value, dict):
        return {name: _replaced(one, (*place, name), lines) for name, one in value.items()}
    if isinstance(value, list):
        return [_replaced(one, (*place, number), lines) for number, one in enumerate(value)]
    named = _NAMED.fullmatch(value) if isinstance(value, str) else None
    if named is None:
        return value
    try:
        return band_texts(named[1]) if place[-1] == "bands" else constant_text(named[1])
    except BadInput as error:
        raise BadInput(error.what, line=lines.line(place)) from None
