"""Rate, volume and time as entered; the steps of hanging a second bag."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.timeline import Entries, priming_amounts, priming_steps


@pytest.mark.parametrize(
    ("rate", "volume", "minutes", "agreement"),
    [
        (125, 1000, 480, "agree"),
        (125, 1000, 360, "disagree"),
        (167, 1000, 359, "agree"),  # 359.3 min: a pump shows whole minutes
        (167, 1000, 360, "disagree"),
        (125, 1000, None, "third"),
        (None, 1000, 480, "third"),
        (125, None, None, "too_few"),
        (None, None, None, "too_few"),
    ],
)
def test_three_numbers_agree_to_the_whole_minute(
    rate: int | None, volume: int | None, minutes: int | None, agreement: str
) -> None:
    """Volume by rate is the time, as a pump shows it; a minute off is a disagreement."""
    exact = (None if one is None else Fraction(one) for one in (rate, volume, minutes))
    assert Entries(*exact).agreement == agreement


def test_two_make_the_third() -> None:
    """1,000 mL at 125 mL/h takes 480 min; in 360 min the rate is 166 2/3 mL/h; 125 mL/h for 360 min is 750 mL."""
    assert Entries(Fraction(125), Fraction(1000)).takes() == 480
    assert Entries(None, Fraction(1000), Fraction(360)).rate_needed() == Fraction(500, 3)
    assert Entries(Fraction(125), None, Fraction(360)).delivered() == 750


def test_every_step_has_one_right_option_and_shows_what_stands() -> None:
    """One option is right, every other says what happens, and each tells the four things that the diagram shows."""
    steps = priming_steps()
    assert len(steps) == 9
    for step in steps:
        assert [option.right for option in step.options].count(True) == 1
        for option in step.options:
            assert set(option.shows) == {"bag", "clamp", "tubing", "flow"}
            assert "{" not in option.says and option.says.endswith(".")


def test_the_amounts_are_those_of_the_exercise() -> None:
    """1,000 mg in 100 mL is 10 mg/mL: 15 mL of tubing hold 150 mg; 20 mL let up too far leave 20 of 120 mL, a sixth."""
    amounts = priming_amounts()
    assert (amounts["tubing"], amounts["tubing_drug"]) == ("15 mL", "150 mg")
    assert (amounts["fuller"], amounts["left"], amounts["left_drug"]) == ("120 mL", "20 mL", "166.7 mg")
    assert (amounts["tubing_left"], amounts["tubing_left_drug"]) == ("15 mL", "150 mg")


def test_drug_flows_only_while_the_clamp_is_open() -> None:
    """In no picture does fluid pass a closed clamp, rise into a bag that isn't low, or fall from one not high."""
    for step in priming_steps():
        for option in step.options:
            if option.shows["clamp"] == "closed":
                assert option.shows["flow"] == "primary"
            if option.shows["flow"] == "up":
                assert option.shows["bag"] == "low"
            if option.shows["flow"] == "down":
                assert option.shows["bag"] == "high"
