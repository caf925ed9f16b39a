"""The class report for others: nobody is named, and nobody can be worked out from what is counted."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from calclib.gradebook.outcomes import student_problems
from calclib.pages.report.anonymous import anonymous_page
from tests.pages.made_results import made_results
from tests.pages.test_pages import Outline

WORDS = {"rounding": "", "marking": ""}


def words_of(page: bytes) -> str:
    """The words of a page, those of neighboring cells apart."""
    return " ".join(Outline(page.decode().replace("<", " <")).words.split())


classes = st.lists(st.lists(st.booleans(), min_size=3, max_size=3), min_size=1, max_size=60)


@settings(max_examples=25)
@given(classes, st.data())
def test_no_small_count_is_shown(right: list[list[bool]], data: st.DataObject) -> None:
    """Each “so many of so many” leaves at least ten on either side; what one sees of a smaller class is no number."""
    attempts = data.draw(st.lists(st.integers(1, 3), min_size=len(right), max_size=len(right)))
    page = anonymous_page(made_results(right, attempts=attempts), WORDS)
    words = words_of(page)
    assert not any(text in page.decode() for text in ("Given", "Family", "s0001", "31 mL/h"))
    for count, of in re.findall(r"(\d+) of (\d+)", words):
        assert min(int(count), int(of) - int(count)) >= 10
    if len(right) < 10:
        assert "Fewer than 10 students were marked" in words


def test_a_class_decided_by_hand() -> None:
    """Of 24, ten fail by the second problem: both sides are shown. The first, which four have wrong, shows nothing.

    Nor is the mean shown, from which it could be worked out.
    """
    rows = [[True, n >= 10, True, True] if n >= 4 else [False, False, True, True] for n in range(24)]
    words = words_of(anonymous_page(made_results(rows), WORDS))
    assert "14 of 24 pass at 80%" in words
    assert "Problem of kind 2 14 of 24 0.58 too few to say" in words
    assert "Problem of kind 1 too few to show" in words
    assert "What to teach again first Skill number 2. Behind it: the division was turned around." in words
    assert "kill number 1" not in words
    assert "mean score" not in words
    assert "inverted: 10 of 24 students" in words


def test_attempts_are_apart_only_where_each_has_enough() -> None:
    """Twelve pass by the first and eleven by the second; where the second has nine, all are told together."""
    good, bad = [True] * 5, [False] * 5
    enough = made_results([good] * 23 + [bad] * 10, attempts=[1] * 12 + [2] * 11 + [2] * 10)
    words = words_of(anonymous_page(enough, WORDS))
    assert "12 of 33 pass at 80% by attempt 1." in words and "11 of 33 pass at 80% by attempt 2." in words
    few = made_results([good] * 21 + [bad] * 10, attempts=[1] * 12 + [2] * 9 + [2] * 10)
    words = words_of(anonymous_page(few, WORDS))
    assert "by attempt" not in words and "21 of 31" in words


def test_first_attempts_give_nobody_away_beside_those_that_count() -> None:
    """Twenty of 30 have it right now: fifteen at first would tell of five, and four of four; ten at first are shown."""
    now = made_results([[n < 20, True] for n in range(30)], attempts=[2] * 30)
    for at_first, told in ((15, False), (4, False), (10, True), (20, True)):
        before = made_results([[n < at_first, True] for n in range(30)])
        first = {one.student.id: student_problems(before, one) for one in before.judged}
        words = words_of(anonymous_page(now, WORDS, first))
        shown = f"Problem of kind 1 20 of 30 0.{at_first * 100 // 30:02}"[:-1]
        assert (shown in words) == told, words
