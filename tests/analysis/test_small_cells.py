"""Small cells: none is shown, and none can be found by subtracting what is."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from calclib.analysis.small_cells import LEAST, ShownMean, shown_cells, shown_mean, shown_share


@given(st.lists(st.integers(0, 60), min_size=1, max_size=6))
def test_nothing_small_is_shown_or_can_be_subtracted(counts: list[int]) -> None:
    """What is shown is true and at least ten; what is left of the total is of several cells, and ten at least."""
    shown = shown_cells(counts)
    assert all(one is None or one == count >= LEAST for one, count in zip(shown, counts, strict=True))
    hidden = shown.count(None)
    left = sum(counts) - sum(one or 0 for one in shown)
    assert hidden == 0 or hidden == len(counts) or (hidden > 1 and left >= LEAST)


@given(st.integers(0, 200), st.integers(0, 200))
def test_a_share_hides_its_other_side_too(count: int, others: int) -> None:
    """How many are wrong is how many are not right: both are shown, or neither."""
    of = count + others
    assert (shown_share(count, of) is None) == (shown_share(others, of) is None) == (min(count, others) < LEAST)


def test_cells_decided_by_hand() -> None:
    """One small cell takes the next smallest with it; two that are ten together stay alone; none passing is hidden."""
    assert shown_cells((40, 4, 12)) == (40, None, None)
    assert shown_cells((40, 6, 7, 12)) == (40, None, None, 12)
    assert shown_cells((40, 2, 3, 12)) == (40, None, None, None)
    assert shown_cells((23, 0)) == (None, None)
    assert shown_cells((30, 20)) == (30, 20)


@given(st.lists(st.integers(0, 40), min_size=1, max_size=8))
def test_a_mean_does_not_give_a_hidden_count_away(wrong: list[int]) -> None:
    """With all other counts known, as many as twenty counts of a hidden problem still go with the mean that is told."""
    of = 40
    right = [of - one for one in wrong]
    hidden = [n for n, one in enumerate(right) if min(one, of - one) < LEAST]
    points, each = Fraction(len(right)), [Fraction(1)] * len(hidden)

    def shown(every: int) -> ShownMean | None:
        return shown_mean(Fraction(100 * every, of * len(right)), of, points, each)

    told = shown(sum(right))
    if told is None or not hidden:
        assert bool(hidden) == (told is None)
        return
    (one, *_) = hidden
    known = sum(right) - right[one]
    possible = [count for count in range(-of, 2 * of) if shown(known + count) == told]
    assert len(possible) >= 2 * LEAST - 1


def test_means_decided_by_hand() -> None:
    """All counts shown: as it is. One hidden: of 62 students and 12 points to fives; of 24 and 5 points not at all."""
    assert shown_mean(Fraction(763, 10), 62, Fraction(12), []) == ShownMean(Fraction(763, 10))
    assert shown_mean(Fraction(763, 10), 62, Fraction(12), [Fraction(1)]) == ShownMean(Fraction(75), 5)
    assert shown_mean(Fraction(763, 10), 24, Fraction(5), [Fraction(1)]) is None
