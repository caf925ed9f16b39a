"""Exact piecewise-linear curves and plug flow."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.timeline import PiecewiseLinear, typical_volumes
from calclib.timeline.tubing import Plug, full_tube

CURVE = PiecewiseLinear(
    (
        (Fraction(0), Fraction(100)),
        (Fraction(30), Fraction(40)),
        (Fraction(30), Fraction(250)),
        (Fraction(60), Fraction(250)),
    )
)


def test_between_two_points_a_curve_runs_straight() -> None:
    """The value between two points is exact."""
    assert CURVE.at(10) == 80
    assert CURVE.at(Fraction(1, 3)) == Fraction(298, 3)


def test_at_a_jump_the_value_after_it_counts() -> None:
    """When a bag is changed, the curve gives what the new bag holds."""
    assert CURVE.at(30) == 250
    assert CURVE.at(60) == CURVE.last == 250


def test_outside_of_its_time_a_curve_says_nothing() -> None:
    """A minute before the start or after the end is refused."""
    with pytest.raises(BadInput, match="between 0 and 60"):
        CURVE.at(61)


def test_first_time_at_least() -> None:
    """The minute at which a rising curve comes up to a value, or None."""
    rising = PiecewiseLinear(((Fraction(0), Fraction(0)), (Fraction(10), Fraction(0)), (Fraction(20), Fraction(50))))
    assert rising.first_time_at_least(25) == 15
    assert rising.first_time_at_least(0) == 0
    assert rising.first_time_at_least(51) is None


def test_fluid_leaves_a_tube_in_the_order_in_which_it_entered() -> None:
    """10 mL of plain fluid come out before the drug; pushed up from below, the last in comes out first."""
    tube, out = full_tube(10).push(Plug(Fraction(15), Fraction(2)))
    assert out == (Plug(Fraction(10), Fraction(0)), Plug(Fraction(5), Fraction(2)))
    assert tube.drug == 20
    tube, out = tube.push(Plug(Fraction(4), Fraction(0)))
    assert out == (Plug(Fraction(4), Fraction(2)),)
    _, out = tube.push_up(Plug(Fraction(6), Fraction(9)))
    assert out == (Plug(Fraction(4), Fraction(0)), Plug(Fraction(2), Fraction(2)))


def test_typical_volumes_name_their_source() -> None:
    """No figure without a source and the place in it."""
    assert all(figure.source and figure.place and figure.says.endswith(".") for figure in typical_volumes())
