"""Where a typed number stands: accepted, right before rounding, rounded wrongly, or wrong."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from calclib.items.item import ItemPart, decided
from calclib.quantity.enclosure import Enclosure, Exact, Undecided, ends
from calclib.quantity.writing import has_finite_decimals

COARSER = (10, 5, 100)
FEWER = "rounded to fewer digits than asked"
ON_THE_WAY = "rounded on the way, and not at the end"


class NumberStatus(NamedTuple):
    """What a number is worth.

    Args:
        verdict: right, right_before_rounding, rounded_wrongly or wrong.
        by: The path or the reason.
        another: Whether it is right only by a legitimate path that does not lead to the key.
    """

    verdict: str
    by: str
    another: bool = False


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
        if accepted.holds(value):
            another = part.key is not None and accepted.low is not part.key and accepted.low != part.key
            another = another and not accepted.decided
            return NumberStatus("right", accepted.by, another)
    assert part.exact is not None and part.rule is not None
    step = part.rule.step_at(part.exact)
    for exact, path in ((part.exact, ""), *part.other_exact):
        if (found := _before_rounding(exact, path, value, decimals, factor, step)) is not None:
            another = exact != part.exact and not decided(path) and leads_elsewhere(part, exact)
            return found._replace(another=another)
    # What a ruling keeps beside the key may have been rounded wrongly too.
    kept = [exact for exact, path in part.other_exact if decided(path)]
    tried = (_rounded_wrongly(part, exact, value, decimals, factor) for exact in (part.exact, *kept))
    return next((found for found in tried if found is not WRONG), WRONG)


def leads_elsewhere(part: ItemPart, exact: Exact) -> bool:
    """Whether the exact value of a legitimate path is not rounded to the key."""
    assert part.rule is not None
    try:
        return part.rule.rounded(exact) != part.key
    except Undecided:
        return True


def _before_rounding(
    exact: Exact, path: str, value: Fraction, decimals: int | None, factor: Fraction, step: Fraction
) -> NumberStatus | None:
    """The exact value of one path, in full or with more digits than asked; None if it is not that."""
    where = f"the exact value{f' by the path “{path}”' if path else ''}"
    if decimals is None:
        found = not isinstance(exact, Enclosure) and value == exact
        return NumberStatus("right_before_rounding", where) if found else None
    if not value:
        return None
    typed = (exact, value) if factor == 1 else (exact / factor, value / factor)
    if not (how := agrees(*typed, decimals)):
        return None
    if step == 0:
        return _unrounded(exact, value, how)
    if factor * Fraction(1, 10**decimals) < step:
        return NumberStatus("right_before_rounding", f"{where} {how} to more digits than asked")
    # 0.03 g where 31.5 mg is asked to a tenth.
    near = abs(value - ends(exact)[0]) * 20 <= abs(value)
    return NumberStatus("rounded_wrongly", FEWER) if near else None


def _unrounded(exact: Exact, value: Fraction, how: str) -> NumberStatus:
    """Where nothing is to be rounded, only a value without end may be cut, and not before three digits."""
    if _ends(exact) or abs(value - ends(exact)[0]) * 200 > abs(value):
        return NumberStatus("rounded_wrongly", f"{how} although it is not to be rounded")
    return NumberStatus("right_before_rounding", f"the exact value {how} to the digits typed")


def _ends(exact: Exact) -> bool:
    """Whether the value has finite decimals."""
    if isinstance(exact, Enclosure):
        return False
    return has_finite_decimals(exact)


def agrees(exact: Exact, value: Fraction, decimals: int) -> str:
    """Return “rounded” or “cut off” if a number is the exact value so written with so many decimals, else ""."""
    place = Fraction(1, 10**decimals)
    typed, rest = _places(value, place)
    if rest:
        return ""
    low, high = ends(exact)
    if _nearest(low, place) == typed == _nearest(high, place):
        return "rounded"
    if _places(low, place)[0] == typed == _places(high, place)[0]:
        return "cut off"
    return ""


def _places(value: Fraction, place: Fraction) -> tuple[int, int]:
    """How many whole places a number holds, and whether anything is left; whole numbers, since this runs often."""
    return divmod(value.numerator * place.denominator, value.denominator * place.numerator)


def _nearest(value: Fraction, place: Fraction) -> int:
    """How many places a number is when it is rounded, half a place up."""
    one = value.denominator * place.numerator
    return (2 * value.numerator * place.denominator + one) // (2 * one)


def _rounded_wrongly(
    part: ItemPart, exact: Exact, value: Fraction, decimals: int | None, factor: Fraction
) -> NumberStatus:
    assert part.rule is not None
    low = ends(exact)[0]
    step = part.rule.step_at(low)
    if step == 0 or value == 0:
        return WRONG
    (below, more), (typed, rest) = _places(low, step), _places(value, step)
    if not rest and typed in (below, below + bool(more)):
        way = "down" if typed == below else "up"
        return NumberStatus("rounded_wrongly", f"rounded {way} where the rule goes the other way")
    if decimals is not None and factor * Fraction(1, 10**decimals) < step and _rounds_to_accepted(part, value):
        return NumberStatus("rounded_wrongly", ON_THE_WAY)
    for times in COARSER:
        place = step * times
        if not rest and _nearest(low, place) * times == typed and abs(value - low) * 20 <= low:
            return NumberStatus("rounded_wrongly", FEWER)
    return WRONG


def _rounds_to_accepted(part: ItemPart, value: Fraction) -> bool:
    """Whether a number with more digits than asked would be right once it were rounded."""
    assert part.rule is not None
    rounded = part.rule.rounded(value)
    return any(accepted.holds(rounded) for accepted in part.accepted)
