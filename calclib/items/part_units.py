"""The value of a step in the unit in which a part asks it."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.factors import without_doses
from calclib.errors.messages import BadInput
from calclib.models.model import PartModel
from calclib.quantity.enclosure import Exact
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit

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
            f"part {part.name} is asked in {part.unit}, but the step {part.asks} is in {have}", line=part.line
        )
    return value if factor is ONE else value * factor


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
