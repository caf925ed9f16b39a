from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.analysis import (
    class_size_told,
    correlation,
    cronbach_alpha,
    discrimination_told,
    item_statistics,
    mean,
    median,
    standard_error_of_measurement,
    variance,
)
from calclib.wording import sentence

half = st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(1)])
marks = st.lists(st.sampled_from([Fraction(0), Fraction(1)]), min_size=2, max_size=9)
matrices = st.integers(2, 6).flatmap(
    lambda width: st.lists(
        st.lists(st.sampled_from([Fraction(0), Fraction(1, 2), Fraction(1)]), min_size=width, max_size=width),
        max_size=8,
    )
)


@given(matrices)
def test_statistics_stay_within_their_limits(scores: list[list[Fraction]]) -> None:
    """Difficulty is a share, a correlation lies within -1 and 1, alpha never exceeds 1; no class makes it fail."""
    for one in item_statistics(scores):
        assert 0 <= one.difficulty <= 1
        assert one.discrimination is None or -1.000001 <= one.discrimination <= 1.000001
    alpha = cronbach_alpha(scores)
    assert alpha is None or alpha <= 1.000001
    error = standard_error_of_measurement(scores)
    assert (error is None) == (alpha is None)


@given(
    st.lists(st.sampled_from([Fraction(0), Fraction(1)]), min_size=2, max_size=9).filter(
        lambda column: len(set(column)) == 2
    )
)
def test_items_that_always_agree_are_wholly_reliable(column: list[Fraction]) -> None:
    """Copies of one item correlate perfectly, and their total has no error."""
    scores = [[value] * 4 for value in column]
    assert cronbach_alpha(scores) == pytest.approx(1)
    assert standard_error_of_measurement(scores) == pytest.approx(0, abs=1e-6)
    assert [one.discrimination for one in item_statistics(scores)] == pytest.approx([1] * 4)


@pytest.mark.parametrize("scores", [[], [[1, 0]], [[1, 1], [1, 1]], [[1], [0]]])
def test_what_cannot_be_computed_is_none(scores: list[list[int]]) -> None:
    """Too few students or items, or no spread, give no number instead of a wrong one."""
    assert cronbach_alpha(scores) is None
    assert standard_error_of_measurement(scores) is None
    assert all(one.discrimination is None for one in item_statistics(scores))


def test_small_tools() -> None:
    """Mean and median of nothing are 0; a constant correlates with nothing."""
    assert (mean([]), median([]), median([3, 1, 2]), median([1, 4]), variance([1, 3])) == (
        0,
        0,
        2,
        Fraction(5, 2),
        1,
    )
    assert correlation([Fraction(1, 10)] * 3, [1, 2, 3]) is None


@pytest.mark.parametrize(
    ("value", "word"),
    [(None, "no spread"), (0.4, "very good"), (0.39, "good"), (0.2, "marginal"), (0.0, "poor"), (-0.1, "negative")],
)
def test_discrimination_has_its_usual_names(value: float | None, word: str) -> None:
    """The bands of Ebel and Frisbie, their lower ends included."""
    assert sentence(discrimination_told(value)) == word


def test_a_small_class_is_warned_of() -> None:
    """Four ranges of class size, with a sentence for all but the largest."""
    told = [class_size_told(n) for n in (10, 30, 100, 200)]
    assert told[3] is None
    assert len({one.kind for one in told if one is not None}) == 3
