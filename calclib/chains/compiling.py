"""From the fields of an item model's step to a compiled step."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from calclib.chains.factors import Names
from calclib.chains.kinds import (
    band,
    between,
    choose,
    clock,
    compare,
    count_up,
    limit,
    lookup,
    product,
    root,
    rounding,
    sums,
)
from calclib.chains.step import Step
from calclib.errors.messages import BadInput

Compiler = Callable[[Mapping[str, Any], Mapping[str, Any], Names], Step]

STEP_KINDS: Mapping[str, tuple[Compiler, frozenset[str]]] = {
    "product": (product.compiled, frozenset({"of"})),
    "sum": (sums.compiled, frozenset({"of"})),
    "root": (root.compiled, frozenset({"of"})),
    "power": (root.compiled_power, frozenset({"of", "exponent"})),
    "band": (band.compiled, frozenset({"of", "bands"})),
    "lookup": (lookup.compiled, frozenset({"table", "key", "column"})),
    "limit": (limit.compiled, frozenset({"of", "take"})),
    "count_up": (count_up.compiled, frozenset({"of"})),
    "round": (rounding.compiled, frozenset({"of", "rule"})),
    "clock": (clock.compiled, frozenset({"start"})),
    "between": (between.compiled, frozenset({"start", "end"})),
    "choose": (choose.compiled, frozenset({"of", "options"})),
    "compare": (compare.compiled, frozenset({"value", "choices"})),
}
OPTIONAL = frozenset({"add", "subtract", "low", "high", "progressive", "rows", "constants", "missed"})


def compiled_step(kind: str, common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Step:
    """Return the compiled step.

    Args:
        kind: One of the step kinds.
        common: name, says, unit, quantity and sources of the step.
        fields: The fields of its kind.
        names: Units, components and words of the values that it may use.

    Raises:
        BadInput: The kind is unknown, a field is missing or too many, or the units do not fit.
    """
    try:
        compiler, needed = STEP_KINDS[kind]
    except KeyError:
        raise BadInput(f"“{kind}” is not a kind of step; kinds are {', '.join(STEP_KINDS)}") from None
    missing = needed - set(fields)
    if missing:
        raise BadInput(f"step {common['name']} of kind {kind} lacks {', '.join(sorted(missing))}")
    extra = set(fields) - needed - OPTIONAL
    if extra:
        raise BadInput(f"step {common['name']} of kind {kind} has no field {', '.join(sorted(extra))}")
    if kind == "clock" and ("add" in fields) == ("subtract" in fields):
        raise BadInput(f"step {common['name']}: give either add or subtract")
    return compiler(common, fields, names)
