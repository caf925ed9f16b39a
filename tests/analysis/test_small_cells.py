"""Small cells: none is shown, and none can be found by subtracting what is."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from calclib.analysis.small_cells import LEAST, shown_cells, shown_share


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
