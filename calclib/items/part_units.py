"""The value of a step in the unit in which a part asks it."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.factors import Value, without_doses
from calclib.chains.kinds.rounding import Round
from calclib.errors.messages import BadInput
from calclib.models.model import PartModel
from calclib.quantity.enclosure import Exact
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit
from calclib.wording.facts import fact

ONE = Fraction(1)


def in_part_unit(value: Exact, part: PartModel, chain: Chain) -> Exact:
    """Return the value of the step that a part asks, in the unit of the part.

    Args:
        value: The value in the unit of the step.
        part: The part.
        chain: The compiled chain.

    Raises:
        BadInput: The part's unit measures something else than the step.
    """
    have = chain.unit(part.asks)
    factor = unit_factor(have, part.unit)
    if factor is None:
        raise BadInput(
            fact("errors_items.unit_of_part", part=part.name, unit=str(part.unit), step=part.asks, have=str(have)),
            line=part.line,
        )
    return value if factor is ONE else value * factor


def asked_value(values: Mapping[str, Value], part: PartModel, chain: Chain) -> Exact:
    """Return the amount that a part asks before it is rounded, in the unit of the part.

    Where the step asked only rounds by the part's own rule, because the steps behind it go on with the rounded value,
    the answer is the value that it rounds: it is rounded like every other answer.

    Args:
        values: All values of the chain.
        part: The part.
        chain: The compiled chain.

    Raises:
        BadInput: The part's unit measures something else than the step.
    """
    step = chain.by_name[part.asks]
    rounds = isinstance(step, Round) and step.rule.name == part.rounding and chain.unit(step.of) == step.unit
    value = values[step.of if rounds and isinstance(step, Round) else part.asks]
    assert not isinstance(value, str)
    return in_part_unit(value, part, chain)


@lru_cache(maxsize=1024)
def unit_factor(have: Unit, want: Unit) -> Fraction | None:
    """Return the number that leads from one unit to another, doses aside; None if they measure different things."""
    have, want = without_doses(have), without_doses(want)
    return ONE if have == want else bridge_factor(have, want, {})


def in_step_unit(value: Fraction, part: PartModel, chain: Chain) -> Fraction:
    """Return a value in the unit that a part asks, in the unit of the step asked."""
    scale = in_part_unit(Fraction(1), part, chain)
    assert isinstance(scale, Fraction)
    return value / scale
