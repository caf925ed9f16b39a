from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.quantity.clock import ClockTime, clock_time, parse


@given(total=st.integers(-(10**5), 10**5))
def test_a_written_time_is_read_again(total: int) -> None:
    """Writing and reading give the same time and day."""
    assert parse(clock_time(total).write()) == clock_time(total)


@given(total=st.integers(-3000, 3000), minutes=st.integers(-3000, 3000))
def test_adding_and_taking_away_is_back_at_the_start(total: int, minutes: int) -> None:
    """The day turns over and back."""
    assert clock_time(total).plus(minutes).plus(-minutes) == clock_time(total)
    assert clock_time(total).plus(minutes).total == total + minutes


@pytest.mark.parametrize(
    ("start", "minutes", "text"),
    [
        ("0800", 480, "1600"),
        ("2315", 135, "0130 the next day"),
        ("2315", 45, "0000 the next day"),
        ("1345", 0, "1345"),
        ("0800", 2880, "0800 2 days later"),
        ("0005", -10, "2355 the day before"),
    ],
)
def test_times_by_hand(start: str, minutes: int, text: str) -> None:
    """Known times, past midnight and back."""
    assert parse(start).plus(Fraction(minutes)).write() == text


def test_a_clock_takes_whole_minutes() -> None:
    """A part of a minute is rounded by the policy first, not by the clock."""
    with pytest.raises(BadInput, match="whole minutes"):
        parse("0800").plus(Fraction(1, 2))


@pytest.mark.parametrize("text", ["2400", "0860", "800", "08:00", "8 am", "", "0800 tomorrow", "٠٨٠٠"])
def test_anything_else_is_no_time(text: str) -> None:
    """Only four digits of a 24-hour clock, with the day in the clock's own words."""
    with pytest.raises(BadInput, match="24-hour clock"):
        parse(text)


@pytest.mark.parametrize("minutes", [-1, 1440])
def test_a_day_has_1440_minutes(minutes: int) -> None:
    """A time outside the day is refused."""
    with pytest.raises(BadInput, match="minutes 0 to 1439"):
        ClockTime(minutes)
