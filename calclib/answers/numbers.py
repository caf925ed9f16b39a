"""Where a typed number stands: accepted, right before rounding, rounded wrongly, or wrong."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.items.item import ItemPart
from calclib.quantity.enclosure import Enclosure, Exact, ends

COARSER = (10, 5, 100)
FEWER = "rounded to fewer digits than asked"


@dataclass(frozen=True)
class NumberStatus:
    """What a number is worth.

    Args:
        verdict: right, right_before_rounding, rounded_wrongly or wrong.
        by: The path or the reason.
    """

    verdict: str
    by: str


WRONG = NumberStatus("wrong", "")


def number_status(part: ItemPart, value: Fraction, decimals: int | None, factor: Fraction) -> NumberStatus:
    """Return where a number stands.

    Args:
        part: The part that asks.
        value: The number in the unit asked.
        decimals: Digits typed after the point, in the unit typed; None for fractions and arithmetic.
        factor: What turned the typed number into the unit asked.
    """
    for accepted in part.accepted:
        if accepted.low <= value <= accepted.high:
            return NumberStatus("right", accepted.by)
    assert part.exact is not None and part.rule is not None
    step = part.rule.step_at(part.exact)
    if decimals is None:
        if not isinstance(part.exact, Enclosure) and value == part.exact:
            return NumberStatus("right_before_rounding", "the exact value")
    elif (how := agrees(part.exact / factor, value / factor, decimals)) and value:
        if step == 0:
            return _unrounded(part.exact, value, how)
        if factor * Fraction(1, 10**decimals) < step:
            return NumberStatus("right_before_rounding", f"the exact value {how} to more digits than asked")
    return _rounded_wrongly(part.exact, value, step)


def _unrounded(exact: Exact, value: Fraction, how: str) -> NumberStatus:
    """Where nothing is to be rounded, only a value without end may be cut, and not before three digits."""
    if _ends(exact) or abs(value - ends(exact)[0]) * 200 > abs(value):
        return NumberStatus("rounded_wrongly", f"{how} although it is not to be rounded")
    return NumberStatus("right_before_rounding", f"the exact value {how} to the digits typed")


def _ends(exact: Exact) -> bool:
    """Whether the value has finite decimals."""
    if isinstance(exact, Enclosure):
        return False
    rest = exact.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return rest == 1


def agrees(exact: Exact, value: Fraction, decimals: int) -> str:
    """Return “rounded” or “cut off” if a number is the exact value so written with so many decimals, else ""."""
    place = Fraction(1, 10**decimals)
    low, high = ends(exact)
    if (
        (low / place + Fraction(1, 2)).__floor__() * place
        == value
        == (high / place + Fraction(1, 2)).__floor__() * place
    ):
        return "rounded"
    if (low / place).__floor__() * place == value == (high / place).__floor__() * place:
        return "cut off"
    return ""


def _rounded_wrongly(exact: Exact, value: Fraction, step: Fraction) -> NumberStatus:
    low = ends(exact)[0]
    if step == 0 or value == 0:
        return WRONG
    below, above = (low / step).__floor__() * step, (low / step).__ceil__() * step
    if value in (below, above):
        way = "down" if value == below else "up"
        return NumberStatus("rounded_wrongly", f"rounded {way} where the rule goes the other way")
    for times in COARSER:
        place = step * times
        if value == (low / place + Fraction(1, 2)).__floor__() * place and abs(value - low) * 20 <= low:
            return NumberStatus("rounded_wrongly", FEWER)
    return WRONG
