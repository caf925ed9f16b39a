"""Where a typed number stands: accepted, right before rounding, rounded wrongly, or wrong."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from calclib.answers.roundings import ENDLESS_PARTS, Rounding, TypedNumber, rounded_by, rounding_of, shortened
from calclib.items.item import ItemPart
from calclib.items.recorded.way_values import WayValue
from calclib.items.recorded.ways import decided
from calclib.quantity.enclosure import Exact
from calclib.wording.facts import Fact, fact

# What else than such a rounding may lead to the same number, so that a mistake that does is named in its place.
DOUBTFUL = frozenset({"too_few_digits", "rounded_on_the_way"})
_BEFORE_ROUNDING = frozenset({"finer_than_asked", "unrounded"})


class NumberStatus(NamedTuple):
    """What a number is worth.

    Args:
        verdict: right, right_before_rounding, rounded_wrongly or wrong.
        by: The way by which it is right.
        another: Whether it is right only by a legitimate path that does not lead to the key.
        rounding: How the right value was rounded, where it was not rounded as asked.
    """

    verdict: str
    by: Fact | None = None
    another: bool = False
    rounding: Rounding | None = None


WRONG = NumberStatus("wrong")


def number_status(part: ItemPart, value: Fraction, decimals: int | None, factor: Fraction) -> NumberStatus:
    """Return where a number stands.

    Args:
        part: The part that asks.
        value: The number in the unit asked.
        decimals: Digits typed after the point, in the unit typed; None for fractions and arithmetic.
        factor: What turned the typed number into the unit asked.
    """
    for accepted in part.accepted:
        if accepted.holds(value):
            another = part.key is not None and accepted.low is not part.key and accepted.low != part.key
            another = another and not accepted.decided
            return NumberStatus("right", accepted.by, another)
    assert part.exact is not None and part.rule is not None
    typed = TypedNumber(value, decimals, factor)
    found = []
    for exact, path in ((part.exact, None), *part.other_exact):
        if (rounding := rounding_of(exact, part.rule, typed)) is None:
            continue
        if rounding.kind in _BEFORE_ROUNDING:
            another = exact != part.exact and not decided(path) and leads_elsewhere(part, exact)
            return NumberStatus("right_before_rounding", _by(path, rounding), another, rounding)
        # What another path leads to was rounded on the way already; what a ruling keeps counts as the key does.
        if path is None or decided(path):
            found.append(rounding)
    if found:
        return NumberStatus("rounded_wrongly", rounding=found[0])
    way = next((way for way in part.ways if _follows(part, way, typed)), None)
    if way is None:
        return WRONG
    return NumberStatus("rounded_wrongly", rounding=Rounding("rounded_on_the_way", way.manner, way.step, way.decimals))


def _by(path: Fact | None, rounding: Rounding) -> Fact:
    value = fact("way.exact_value") if path is None else fact("way.exact_value_by", path=path)
    if rounding.manner == "in full":
        return value
    if rounding.kind == "finer_than_asked":
        return fact("way.rounded_finer" if rounding.manner == "rounded" else "way.cut_off_finer", value=value)
    return fact("way.rounded_as_typed" if rounding.manner == "rounded" else "way.cut_off_as_typed", value=value)


def path_of(way: Fact) -> Fact:
    """Return the path of a way, which for a value that was rounded differently stands within it.

    Args:
        way: How an answer is right.
    """
    inner = way.field("path" if way.kind == "way.exact_value_by" else "value")
    return path_of(inner) if isinstance(inner, Fact) else way


def leads_elsewhere(part: ItemPart, exact: Exact) -> bool:
    """Whether the exact value of a legitimate path is not rounded to the key."""
    assert part.rule is not None
    return rounded_by(part.rule, exact) != part.key


def _follows(part: ItemPart, way: WayValue, typed: TypedNumber) -> bool:
    """Whether a number is what a rounding on the way leads to, written by the rule or more finely."""
    assert part.rule is not None
    if rounded_by(part.rule, way.value) == typed.value:
        return True
    step = part.rule.step_at(way.value) if isinstance(way.value, Fraction) else part.rule.bands[-1].step
    finer = typed.place is None or not step or typed.place < step
    return finer and shortened(way.value, typed, 0 if step else ENDLESS_PARTS) is not None
