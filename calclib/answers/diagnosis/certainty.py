"""Whether a mistake may be said for certain, or only asked about."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from calclib.faults.likelihood import COMMON, USUAL
from calclib.items.item import ItemPart
from calclib.items.mistakes.fault_results import as_written
from calclib.items.recorded.fault_result import FaultResult
from calclib.quantity.writing import has_finite_decimals, write_number

FIGURES = 3
APART = 20


def is_usual(fault: FaultResult) -> bool:
    """Tell whether a mistake is of a kind that may be said for certain, and no rare form of it."""
    return not fault.spare and fault.fault in USUAL


def is_telling(fault: FaultResult, value: Fraction) -> bool:
    """Tell whether a number has enough figures to tell mistakes apart: 30 for 28.7 could be many things.

    Three figures, or two that are the whole of what the mistake leads to.

    Args:
        fault: The mistake.
        value: The number, in the unit asked.
    """
    figures = significant(value)
    return figures >= FIGURES or (figures == FIGURES - 1 and fault.value == value)


def significant(value: Fraction) -> int:
    """Return how many figures a number has between the zeros at its ends; 0 if its decimals do not end."""
    return len(digits(value).replace(".", "").strip("0"))


def digits(value: Fraction) -> str:
    """Return a number as it is typed, without commas; "" if its decimals do not end."""
    return write_number(value).replace(",", "") if value.denominator <= 10**6 and has_finite_decimals(value) else ""


def common_pair(part: ItemPart, value: Fraction) -> tuple[FaultResult, FaultResult] | None:
    """Return two common mistakes in different places that multiply to a number, None if none do.

    Args:
        part: The part; only of products can mistakes be multiplied.
        value: The wrong number in the unit asked.
    """
    if not part.only_products or part.rule is None or not isinstance(part.exact, Fraction) or not part.exact:
        return None
    common = [(f, *f.value.as_integer_ratio()) for f in part.faults if f.value and f.hard and _is_common(f)]
    above, below = part.exact.denominator * value.denominator, part.exact.numerator * value.numerator
    for (first, top, bottom), (second, other_top, other_bottom) in combinations(common, 2):
        # Both together come near the number: the product of their values over the right one.
        product, wanted = top * other_top * above, bottom * other_bottom * below
        if abs(product - wanted) * APART > wanted or (first.given == second.given and first.step == second.step):
            continue
        assert first.value is not None and second.value is not None
        if as_written(first.value * second.value / part.exact, part.rule) == value:
            return first, second
    return None


def _is_common(fault: FaultResult) -> bool:
    return not fault.spare and fault.fault in COMMON
