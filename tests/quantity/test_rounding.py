from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, Exact, Undecided, square_root
from calclib.quantity.rounding import MODES, TIES, Mode, RoundingBand, RoundingRule, Tie

STEPS = ["0.001", "0.01", "0.1", "0.25", "0.5", "1", "5"]
steps = st.sampled_from(STEPS).map(Fraction)
numbers = st.fractions(min_value=0, max_value=3000, max_denominator=10_000)


def rule(*bands: str, mode: Mode = "nearest", tie: Tie = "half_up") -> RoundingRule:
    """A rule from steps such as "<1:0.01" and "0.1"."""
    made = []
    for band in bands:
        limit, _, step = band.rpartition(":")
        made.append(RoundingBand(Fraction(limit.removeprefix("<")) if limit else None, Fraction(step)))
    return RoundingRule("x", "mL", tuple(made), mode, tie, "from_memory")


by_size = rule("<1:0.01", "0.1")


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("tie", TIES)
@given(x=numbers, step=steps)
def test_a_rounded_number_stays_rounded(mode: Mode, tie: Tie, x: Fraction, step: Fraction) -> None:
    """Rounding twice changes nothing, and a rounded number is less than a step away."""
    one = rule(str(step), mode=mode, tie=tie)

    assert one.rounded(one.rounded(x)) == one.rounded(x)
    assert abs(one.rounded(x) - x) < step
    assert one.rounded(-x) == -one.rounded(x)


@pytest.mark.parametrize("mode", MODES)
@given(x=numbers, y=numbers, step=steps)
def test_rounding_keeps_the_order(mode: Mode, x: Fraction, y: Fraction, step: Fraction) -> None:
    """Of two numbers the larger one is never rounded to less."""
    low, high = sorted((x, y))
    one = rule(str(step), mode=mode)

    assert one.rounded(low) <= one.rounded(high)


@pytest.mark.parametrize("mode", MODES)
@given(x=numbers, step=steps, share=st.fractions(min_value=-1, max_value=1, max_denominator=1000))
def test_a_number_moved_by_less_than_its_distance_rounds_alike(
    mode: Mode, x: Fraction, step: Fraction, share: Fraction
) -> None:
    """`steps_from_boundary` is a safe distance: any smaller move leaves the rounded number as it is."""
    one = rule(str(step), mode=mode)
    steps_on_grid = x / step
    assume(mode == "nearest" or steps_on_grid.denominator != 1)
    distance = one.steps_from_boundary(x)
    assume(abs(share) < 1 and distance > 0)

    assert one.rounded(x + share * distance * step) == one.rounded(x)


@given(x=numbers, share=st.fractions(min_value=-1, max_value=1, max_denominator=1000))
def test_the_distance_minds_the_limit_of_a_band(x: Fraction, share: Fraction) -> None:
    """The safe distance also holds where the step changes in the middle of a step."""
    one = rule("<0.25:0.1", "1")
    distance = one.steps_from_boundary(x) * min(one.step_at(x), Fraction(1, 10))
    assume(abs(share) < 1 and distance > 0 and x + share * distance >= 0)

    assert one.rounded(x + share * distance) == one.rounded(x)


def test_distances_by_hand() -> None:
    """Ties are 0 away, steps half a step; cut-off values on a step and halves that stay are safe."""
    assert rule("0.1").steps_from_boundary(Fraction("1.25")) == 0
    assert rule("0.1").steps_from_boundary(Fraction("1.2")) == Fraction(1, 2)
    assert rule("0.1").steps_from_boundary(Fraction("1.246")) == Fraction("0.04")
    assert rule("0.1", mode="down").steps_from_boundary(Fraction("1.2")) == 1
    assert rule("0.1", mode="down").steps_from_boundary(Fraction("1.298")) == Fraction("0.02")
    assert rule("1", tie="half_stays").steps_from_boundary(Fraction("1.5")) == 1
    assert rule("0").steps_from_boundary(Fraction(1, 3)) == 1
    assert by_size.steps_from_boundary(Fraction(1)) == Fraction(1, 2)
    assert rule("<0.25:0.1", "0.1").steps_from_boundary(Fraction("0.25")) == 0


def test_bands_change_the_step_at_their_limit() -> None:
    """Below 1 mL hundredths, from 1 mL tenths; 0.996 becomes 1 either way."""
    assert by_size.rounded(Fraction("0.276")) == Fraction("0.28")
    assert by_size.rounded(Fraction("17.276")) == Fraction("17.3")
    assert by_size.rounded(Fraction("0.996")) == 1
    assert (by_size.decimals_at(Fraction("0.5")), by_size.decimals_at(Fraction(1))) == (2, 1)


def test_exact_halves_may_stay() -> None:
    """Half a tablet stays, everything else goes to wholes."""
    tablets = rule("1", tie="half_stays")

    assert [tablets.rounded(Fraction(x)) for x in ("1.5", "1.49", "1.51", "2")] == [Fraction(3, 2), 1, 2, 2]
    assert [tablets.decimals_at(Fraction(x)) for x in ("1.5", "1.49")] == [1, 0]


def test_roots_are_rounded_or_refused() -> None:
    """An enclosure rounds when all of it rounds alike, and raises when it reaches across a tie."""
    root: Exact = square_root(2)
    wide = Enclosure(Fraction("0.94"), Fraction("0.96"))

    assert rule("0.01").rounded(root) == Fraction("1.41")
    assert Fraction("0.35") < rule("0.1").steps_from_boundary(root) < Fraction("0.36")
    with pytest.raises(Undecided):
        rule("0.1").rounded(wide)
    assert rule("0.1").steps_from_boundary(wide) == 0
    with pytest.raises(Undecided):
        rule("0").rounded(root)
    with pytest.raises(Undecided):
        by_size.rounded(Enclosure(Fraction("0.99"), Fraction("1.01")))


def test_without_rounding_the_decimals_are_those_of_the_number() -> None:
    """A rule that does not round writes a number in full, and refuses one that has no end."""
    assert rule("0").decimals_at(Fraction("1.125")) == 3
    with pytest.raises(BadInput, match="no finite decimals"):
        rule("0").decimals_at(Fraction(1, 3))
    with pytest.raises(Undecided):
        rule("0").decimals_at(square_root(2))


@pytest.mark.parametrize(
    ("one", "unit", "text"),
    [
        (rule("1"), "mL/h", "Round to the nearest whole mL/h."),
        (rule("0.1"), "mL", "Round to the nearest tenth of a mL (0.1 mL)."),
        (rule("1"), "tab", "Round to the nearest whole tablet."),
        (rule("0.5"), "tab", "Round to the nearest half tablet (0.5 tablet)."),
        (rule("1", tie="half_stays"), "tab", "Round to the nearest whole tablet. An exact half stays."),
        (rule("0.01"), "m2", "Round to the nearest hundredth of a m2 (0.01 m2)."),
        (rule("0.1"), "h", "Round to the nearest tenth of an hour (0.1 h)."),
        (rule("1"), "min", "Round to the nearest whole minute."),
        (rule("1"), "", "Round to the nearest whole number."),
        (rule("5"), "units", "Round to the nearest 5 units."),
        (rule("0"), "mL", "Do not round."),
        (by_size, "mL", "Below 1 mL round to hundredths (0.01 mL); otherwise round to tenths (0.1 mL)."),
        (
            rule("<10:0.1", "1"),
            "tab",
            "Below 10 tablets round to tenths (0.1 tablet); otherwise round to whole tablets.",
        ),
        (
            rule("0.1", mode="down"),
            "mL",
            "Round down to a tenth of a mL (0.1 mL). Drop the remainder, however large it is.",
        ),
        (rule("1", mode="up"), "mL", "Round up to the next whole mL."),
        (
            rule("0.1", tie="half_even"),
            "mL",
            "Round to the nearest tenth of a mL (0.1 mL). A number exactly half way goes to the even digit.",
        ),
    ],
)
def test_a_rule_is_told_in_words(one: RoundingRule, unit: str, text: str) -> None:
    """The sentence beside a question names step, direction and way with ties, in safe notation."""
    assert one.text(unit) == text


def test_a_rule_survives_its_record() -> None:
    """Written to a record and read again, a rule is the same."""
    for one in (by_size, rule("0.5", mode="down"), rule("1", tie="half_stays")):
        assert RoundingRule.from_record(one.to_record()) == one


@pytest.mark.parametrize("bands", [(), ("<1:0.1",), ("0.1", "0.1"), ("<2:0.1", "<1:0.1", "1"), ("-1",)])
def test_bands_out_of_order_are_refused(bands: tuple[str, ...]) -> None:
    """A rule has bands from small to large, the last without a limit, and no negative step."""
    with pytest.raises(BadInput, match="rounding rule x"):
        rule(*bands)
