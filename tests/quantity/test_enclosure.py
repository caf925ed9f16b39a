from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, Exact, Undecided, ends, power, root, square_root

positive = st.fractions(min_value=Fraction(1, 1000), max_value=1000, max_denominator=1000)
anything = st.fractions(min_value=-1000, max_value=1000, max_denominator=1000)
enclosures = st.tuples(anything, anything).map(lambda pair: Enclosure(min(pair), max(pair)))


@st.composite
def enclosed(draw: st.DrawFn) -> tuple[Enclosure, Fraction]:
    """An enclosure and a number that it holds."""
    interval = draw(enclosures)
    share = draw(st.fractions(min_value=0, max_value=1, max_denominator=100))
    return interval, interval.low + share * interval.width


@given(first=enclosed(), second=enclosed())
def test_arithmetic_keeps_the_number_inside(
    first: tuple[Enclosure, Fraction], second: tuple[Enclosure, Fraction]
) -> None:
    """Whatever is done to two enclosures, the result holds what the same does to the numbers that they hold."""
    (a, x), (b, y) = first, second

    assert (a + b).holds(x + y)
    assert (a - b).holds(x - y)
    assert (a * b).holds(x * y)
    assert (y - a).holds(y - x)
    assert (-a).holds(-x)
    assert abs(a).holds(abs(x))
    if not b.holds(0):
        assert (a / b).holds(x / y)
        assert (x / b).holds(x / y)


@given(pair=enclosed(), y=anything)
def test_a_comparison_is_right_or_undecided(pair: tuple[Enclosure, Fraction], y: Fraction) -> None:
    """A comparison never contradicts the number inside; where it would have to guess, it raises."""
    a, x = pair
    for actual, expected in (
        (lambda: a < y, x < y),
        (lambda: a <= y, x <= y),
        (lambda: a > y, x > y),
        (lambda: y < a, y < x),
    ):
        try:
            assert actual() == expected
        except Undecided:
            assert a.holds(y)


@given(x=positive)
def test_square_roots_of_squares_are_fractions(x: Fraction) -> None:
    """A perfect square has an exact root."""
    assert square_root(x * x) == x


@given(x=positive)
def test_the_square_of_a_root_holds_the_number(x: Fraction) -> None:
    """A root is exact, or a narrow enclosure whose square holds the number."""
    low, high = ends(square_root(x))

    assert low * low <= x <= high * high
    assert high - low <= high / 2**78


@given(x=positive, numerator=st.integers(1, 12), denominator=st.integers(1, 12))
def test_powers_hold_the_number(x: Fraction, numerator: int, denominator: int) -> None:
    """A rational power to its denominator holds the number to the numerator."""
    low, high = ends(power(x, Fraction(numerator, denominator)))

    assert low**denominator <= x**numerator <= high**denominator
    assert high - low <= high / 2**70


@given(x=positive, degree=st.integers(1, 12))
def test_roots_of_powers_are_fractions(x: Fraction, degree: int) -> None:
    """A root undoes a power exactly."""
    assert root(x**degree, degree) == x


@pytest.mark.parametrize("exponent", ["0.725", "0.425", "0.3964", "0.5378", "0.6466"])
def test_published_exponents_are_narrow(exponent: str) -> None:
    """The exponents of body surface formulas give enclosures far narrower than any rounding step."""
    low, high = ends(power(Fraction("16.8"), Fraction(exponent)))

    assert 0 < high - low < Fraction(1, 10**20)
    assert low < Fraction(16.8 ** float(exponent)) + Fraction(1, 10**9)
    assert high > Fraction(16.8 ** float(exponent)) - Fraction(1, 10**9)


def test_negative_powers_and_powers_of_zero() -> None:
    """A negative power is the reciprocal; zero has none."""
    assert power(Fraction(4), Fraction(-1, 2)) == Fraction(1, 2)
    assert power(Fraction(0), Fraction(1, 2)) == 0
    with pytest.raises(ZeroDivisionError):
        power(Fraction(0), -1)


def test_even_powers_of_an_interval_around_zero_reach_down_to_zero() -> None:
    """Squaring a number between -1 and 2 gives one between 0 and 4."""
    squared: Exact = Enclosure(Fraction(-1), Fraction(2)) ** 2

    assert ends(squared) == (0, 4)


@pytest.mark.parametrize("bad", [Fraction(-1), Enclosure(Fraction(-1), Fraction(1))])
def test_numbers_below_zero_have_no_root(bad: Exact) -> None:
    """A root of what is, or may be, negative is refused."""
    with pytest.raises(BadInput, match="below zero"):
        square_root(bad)


def test_division_by_what_may_be_zero_is_undecided() -> None:
    """An enclosure around zero cannot divide; zero itself is a division by zero."""
    with pytest.raises(Undecided):
        1 / Enclosure(Fraction(-1), Fraction(1))
    with pytest.raises(ZeroDivisionError):
        Enclosure(Fraction(1), Fraction(2)) / 0


def test_floats_do_not_get_in() -> None:
    """A float is refused wherever an exact number is asked."""
    with pytest.raises(TypeError, match="exact numbers only"):
        Enclosure(Fraction(1), Fraction(2)) * 0.5  # type: ignore[operator]


def test_ends_stand_in_order() -> None:
    """An enclosure with its ends swapped is refused."""
    with pytest.raises(BadInput, match="lower end first"):
        Enclosure(Fraction(2), Fraction(1))
