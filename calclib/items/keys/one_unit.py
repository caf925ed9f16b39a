"""Why one unit alone answers a part, and what the stem states where changing its unit is all that is asked."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from calclib.chains.chain import Chain
from calclib.chains.kinds.choice import Choice
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.step import Step
from calclib.errors.messages import BadInput
from calclib.items.compiled import CompiledModel
from calclib.items.part_units import unit_factor
from calclib.models.model import SETUP, PartModel
from calclib.models.stated import Stated
from calclib.quantity.units import Unit

CONVERSION, DEVICE = "conversion", "device"
# A value is read from a scale in the unit of the scale.
DEVICE_RULE = "device_mark"

Converted = tuple[Fraction, str]


def one_unit_of(part: PartModel, ready: CompiledModel, stated: Mapping[str, Stated]) -> tuple[str, Converted | None]:
    """Return why one unit alone answers a part, "" if others do too, and what the stem states where it is a conversion.

    Args:
        part: The part.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
    """
    chain = ready.chain
    step = chain.by_name[part.asks]
    if part.kind == SETUP or isinstance(step, Choice):
        return "", None
    if isinstance(step, Clock):
        return (CONVERSION if _only_rewrites(step, ready) else ""), None
    if converts := _converts(part, ready, stated):
        return CONVERSION, converts
    if part.set_on:
        return part.set_on, None
    return (DEVICE if part.rounding == DEVICE_RULE else ""), None


def _converts(part: PartModel, ready: CompiledModel, stated: Mapping[str, Stated]) -> Converted | None:
    """The value and the unit of the one given that a part converts; None where it asks for more."""
    chain = ready.chain
    behind = chain.ancestors(part.asks)
    numbers = {name: value for one in stated.values() for name, value in one.numbers if name in behind}
    if len(numbers) != 1:
        return None
    ((name, value),) = numbers.items()
    unit = chain.unit(name)
    if isinstance(value, str) or unit == part.unit:
        return None
    steps = [step for step in chain.steps if step.name in behind]
    between_scales = _between_scales(unit, part.unit)
    if all(_only_converts(step, chain) or (between_scales and isinstance(step, Sum)) for step in steps):
        return value, str(unit)
    return None


def _only_converts(step: Step, chain: Chain) -> bool:
    """Whether a step has one value and otherwise conversions alone."""
    if isinstance(step, Round):
        return True
    if not isinstance(step, Product):
        return False
    values = [factor for factor in step.factors if not factor.is_equivalence]
    return len(values) == 1 and values[0].number is None and values[0].exponent == 1


def _between_scales(unit: Unit, asked: Unit) -> bool:
    """Whether two units measure the same, but no factor leads from one to the other, as with temperatures."""
    if unit.dimension != asked.dimension:
        return False
    try:
        unit_factor(unit, asked)
    except BadInput:
        return True
    return False


def _only_rewrites(step: Clock, ready: CompiledModel) -> bool:
    """Whether a time of day is only written otherwise: it starts from no stated time, and no stated time passes."""
    chain = ready.chain
    givens = [n for n in chain.ancestors(step.name) if n not in chain.by_name and n not in ready.constants]
    return step.start in ready.constants and not any("time" in dict(chain.unit(name).dimension) for name in givens)
