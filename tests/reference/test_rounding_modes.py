"""Rounding rules against the decimal module, which implements the General Decimal Arithmetic specification."""

from __future__ import annotations

import decimal
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.quantity.rounding import Mode, RoundingBand, RoundingRule, Tie

WAYS: dict[str, tuple[Mode, Tie]] = {
    decimal.ROUND_HALF_UP: ("nearest", "half_up"),
    decimal.ROUND_HALF_EVEN: ("nearest", "half_even"),
    decimal.ROUND_DOWN: ("down", "half_up"),
    decimal.ROUND_UP: ("up", "half_up"),
}
numbers = st.decimals(min_value=-(10**6), max_value=10**6, allow_nan=False, allow_infinity=False, places=6)


@pytest.mark.parametrize("way", sorted(WAYS))
@given(x=numbers, places=st.integers(0, 4))
def test_rounding_is_that_of_the_decimal_module(way: str, x: Decimal, places: int) -> None:
    """Every mode gives what the decimal module gives, for positive and negative numbers alike."""
    assert rule(way, places).rounded(Fraction(x)) == Fraction(expected(way, x, places))


@pytest.mark.parametrize("way", sorted(WAYS))
@given(tenths=st.integers(-(10**6), 10**6), places=st.integers(0, 4))
def test_exact_ties_are_those_of_the_decimal_module(way: str, tenths: int, places: int) -> None:
    """Numbers that end in a 5 after the last kept digit go where the decimal module sends them."""
    x = (Decimal(tenths) * 10 + 5) / 10 ** (places + 1)

    assert rule(way, places).rounded(Fraction(x)) == Fraction(expected(way, x, places))


@pytest.mark.parametrize("text", ["2.675", "0.125", "62.5", "0.35", "2.5", "1.25"])
def test_ties_that_the_built_in_function_gets_wrong(text: str) -> None:
    """Half up rounds up, whatever the binary form of the number."""
    places = len(text.partition(".")[2]) - 1

    assert rule(decimal.ROUND_HALF_UP, places).rounded(Fraction(text)) > Fraction(text)


def rule(way: str, places: int) -> RoundingRule:
    """Our rule for one way of the decimal module."""
    return RoundingRule("x", "mL", (RoundingBand(None, Fraction(1, 10**places)),), *WAYS[way], "from_memory")


def expected(way: str, x: Decimal, places: int) -> Decimal:
    """What the decimal module makes of it."""
    with decimal.localcontext(prec=40):
        return x.quantize(Decimal(1).scaleb(-places), rounding=way)
