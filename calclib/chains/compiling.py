"""From the fields of an item model's step to a compiled step."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calclib.chains.factors import Names
from calclib.chains.kinds import (
    band,
    between,
    choose,
    clock,
    compare,
    count_up,
    decide,
    limit,
    lookup,
    product,
    root,
    rounding,
    sums,
)
from calclib.chains.step import Step, StepKind
from calclib.errors.messages import BadInput
from calclib.wording.facts import fact

STEP_KINDS: Mapping[str, StepKind] = {
    "product": product.KIND,
    "sum": sums.KIND,
    "root": root.KIND,
    "power": root.POWER,
    "band": band.KIND,
    "lookup": lookup.KIND,
    "limit": limit.KIND,
    "count_up": count_up.KIND,
    "round": rounding.KIND,
    "clock": clock.KIND,
    "between": between.KIND,
    "choose": choose.KIND,
    "compare": compare.KIND,
    "decide": decide.KIND,
}


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
        known = STEP_KINDS[kind]
    except KeyError:
        raise BadInput(fact("errors_chains.no_kind_of_step", step_kind=kind, known=tuple(STEP_KINDS))) from None
    missing = known.needed - set(fields)
    if missing:
        raise BadInput(
            fact("errors_chains.fields_missing", step=common["name"], step_kind=kind, missing=tuple(sorted(missing)))
        )
    extra = set(fields) - known.needed - known.optional
    if extra:
        raise BadInput(
            fact(
                "errors_chains.no_such_field",
                step=common["name"],
                step_kind=kind,
                extra=tuple(sorted(extra)),
                known=tuple(sorted(known.needed | known.optional - {"rows"})),
            )
        )
    if kind == "clock" and ("add" in fields) == ("subtract" in fields):
        raise BadInput(fact("errors_chains.add_or_subtract", step=common["name"]))
    return known.compiled(common, fields, names)
