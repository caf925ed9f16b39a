"""What one's own number would do, against the order: told exactly as the timeline has it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors import BadInput
from calclib.timeline import compared_runs, compared_steady


def test_a_rate_that_is_too_slow() -> None:
    """1,000 mL ordered over 8 h at 100 mL/h: 800 mL by then, 200 mL still to come, empty after 10 h."""
    run = compared_runs(volume=Fraction(1000), minutes=Fraction(480), rate=Fraction(100))
    assert (run.outcome, run.ordered_end, run.your_end) == ("later", 480, 600)
    assert run.infused_by_then == 800
    assert run.ordered.primary_infused.at(480) == 1000


def test_a_rate_that_is_too_fast_brings_the_whole_dose_early() -> None:
    """54 mL ordered over 40 min at 162 mL/h: all of the dose after 20 min, where the order had half of it."""
    run = compared_runs(volume=Fraction(54), minutes=Fraction(40), rate=Fraction(162), dose=True)
    assert (run.outcome, run.your_end) == ("sooner", 20)
    assert run.yours.patient_drug.at(20) == 100
    assert run.ordered.patient_drug.at(20) == 50


def test_a_volume_that_is_too_small_leaves_the_rest() -> None:
    """100 mL entered of 110 mL in the bag: 10 mL stay, with one eleventh of the dose."""
    run = compared_runs(volume=Fraction(110), minutes=Fraction(30), to_infuse=Fraction(100), dose=True)
    assert (run.outcome, run.left, run.to_count) == ("left", 10, 0)
    assert run.yours.drug.in_bags == Fraction(100, 11)


def test_a_volume_that_is_too_large_is_never_counted_out() -> None:
    """150 mL entered of 110 mL in the bag: it is empty in the ordered time, with 40 mL still to count."""
    run = compared_runs(volume=Fraction(110), minutes=Fraction(30), to_infuse=Fraction(150))
    assert (run.outcome, run.your_end, run.to_count) == ("dry", 30, 40)
    assert run.yours.time_of("primary_dry") == 30


def test_a_rate_that_takes_days_is_looked_at_for_three_times_the_order() -> None:
    """1,000 mL over 8 h at 10 mL/h: after 24 h, 760 mL are still in the bag, and no end is told."""
    run = compared_runs(volume=Fraction(1000), minutes=Fraction(480), rate=Fraction(10))
    assert (run.your_end, run.yours.until, run.left) == (None, 1440, 760)


@given(
    st.integers(10, 3000),
    st.integers(5, 1440),
    st.fractions(Fraction(1, 10), 2000, max_denominator=10),
    st.one_of(st.none(), st.integers(1, 4000)),
)
def test_what_is_told_is_what_the_timeline_has(volume: int, minutes: int, rate: Fraction, entered: int | None) -> None:
    """Nothing is lost in either run; an end that is told is when the flow stops; what has run is on the curve."""
    run = compared_runs(
        volume=Fraction(volume),
        minutes=Fraction(minutes),
        rate=rate,
        to_infuse=None if entered is None else Fraction(entered),
    )
    assert run.ordered.volume.missing == run.yours.volume.missing == 0
    assert run.left + run.yours.primary_infused.last == volume
    assert run.infused_by_then == min(rate * minutes / 60, volume, volume if entered is None else entered)
    if run.your_end is not None:
        stopped = run.yours.time_of("complete") or run.yours.time_of("primary_dry")
        assert stopped == run.your_end


@pytest.mark.parametrize(("volume", "minutes"), [(0, 60), (100, 0), (100, 7 * 24 * 60 + 1)])
def test_no_order_no_comparison(volume: int, minutes: int) -> None:
    """An order without volume or time, or longer than a week, is refused in a sentence."""
    with pytest.raises(BadInput, match="an order to compare with"):
        compared_runs(volume=Fraction(volume), minutes=Fraction(minutes), rate=Fraction(10))


def test_a_rate_that_is_kept_up_is_compared_by_the_hour() -> None:
    """In an hour 12 mL run in at 12 mL/h, where 8 mL are ordered: one and a half of the dose."""
    run = compared_steady(rate=Fraction(8), own=Fraction(12), minutes=Fraction(60), dose=True)
    assert (run.outcome, run.your_end, run.ordered_end) == ("steady", None, 60)
    assert (run.ordered.primary_infused.last, run.yours.primary_infused.last) == (8, 12)
    assert (run.ordered.patient_drug.last, run.yours.patient_drug.last) == (100, 150)


def test_a_time_of_ones_own_gives_the_rate() -> None:
    """240 mL in 2 h, ordered in 4 h: 120 mL/h for 60 mL/h."""
    run = compared_runs(volume=Fraction(240), minutes=Fraction(240), own_minutes=Fraction(120))
    assert run.by_time
    assert (run.outcome, run.your_end) == ("sooner", 120)
    assert run.yours.hanging.primary is not None
    assert run.yours.hanging.primary.entered.rate == 120


@pytest.mark.parametrize("wrong", [{"rate": 0}, {"own": 0}, {"minutes": 0}, {"minutes": 11_000}])
def test_what_can_not_be_kept_up_is_refused(wrong: dict[str, int]) -> None:
    """No rate or time of 0, and no more than 7 days."""
    given = {"rate": 1, "own": 2, "minutes": 60} | wrong
    with pytest.raises(BadInput):
        compared_steady(**{name: Fraction(number) for name, number in given.items()})
