"""Plots of a class report, each with its text."""

from __future__ import annotations

import html
from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.plots import as_html, as_svg, fault_bars, item_difficulty_bars, score_histogram


def test_histogram_counts_each_score_once_and_tells_who_reached_the_cut() -> None:
    """0, 100 and scores on a border fall into one bar each; a score equal to the cut reaches it."""
    picture = score_histogram([0, 10, 89, Fraction(179, 2), 90, 100], cut=90)
    heights = [bar.get_height() for bar in picture.figure.axes[0].containers[0]]  # type: ignore[union-attr]
    assert heights == [1, 1, 0, 0, 0, 0, 0, 0, 2, 2]
    assert picture.alt == "Histogram of 6 scores from 0% to 100%. 2 of 6 score at or above the cut of 90%."


def test_histogram_of_an_empty_class_says_so() -> None:
    """No scores are no error."""
    assert score_histogram([]).alt == "Histogram of scores: no scores yet."
    just_below = score_histogram([Fraction(8996, 100)], cut=90)
    assert just_below.alt == "Histogram of 1 score from 89.9% to 89.9%. 0 of 1 score at or above the cut of 90%."


def test_histogram_refuses_what_isnt_a_percentage() -> None:
    """A score of 120% is a mistake of the caller."""
    with pytest.raises(BadInput, match="0 to 100"):
        score_histogram([120])


def test_items_come_hardest_first_and_unanswered_ones_are_left_out() -> None:
    """The item with the smallest share of right answers stands first."""
    picture = item_difficulty_bars([("tablets", 9, 10), ("drop rate", 3, 10), ("never asked", 0, 0)])
    assert picture.alt == (
        "Bar chart of right answers by problem, hardest first. drop rate: 30% (3 of 10); tablets: 90% (9 of 10)."
    )


def test_faults_come_most_frequent_first_and_no_more_than_asked() -> None:
    """Ties go by the words, so that two runs give the same plot."""
    picture = fault_bars([("b", 2), ("a", 2), ("c", 5), ("d", 0)], most=2)
    assert picture.alt == "Bar chart of mistakes found, most frequent first. c: 5; a: 2."


@pytest.mark.parametrize("draw", [fault_bars, item_difficulty_bars])
def test_nothing_to_show_is_drawn_as_such(draw: object) -> None:
    """An empty list gives a figure that says so."""
    picture = draw([])  # type: ignore[operator]
    assert picture.alt.endswith("nothing to show.")
    assert as_svg(picture.figure)


@pytest.mark.parametrize("title", ["from $5 to $6", "$x_{", "$\\frac{1}$", "\\alpha & <b>"])
def test_signs_of_a_formula_or_of_markup_in_a_title_are_text(title: str) -> None:
    """No title of somebody's own sets a formula, which could fail, or puts anything live into a page."""
    picture = item_difficulty_bars([(title, 1, 2)])
    drawn = as_svg(picture.figure, words_as_text=True).decode()
    assert html.escape(title, quote=False) in drawn
    shown = as_html(*picture)
    assert html.escape(title) in shown
    assert "<b>" not in shown.replace(html.escape(title), "")
