"""Mastery by skill: exact, cautious with few answers, and right about students of whom the truth is known."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product

import pytest
from scipy.stats import beta  # type: ignore[import-untyped]

from calclib.analysis.mastery import LEVEL, SURE, Holds, Mastery, below, mastery_by_skill
from calclib.analysis.needs import skill_needs
from calclib.analysis.problems import Mistake, Problem


def tried(skill: str, *right: bool, slot: int = 1) -> list[Problem]:
    """Problems of a skill, right or wrong in turn."""
    return [Problem(slot + n, skill, Fraction(int(one)), one) for n, one in enumerate(right)]


@pytest.mark.parametrize(("right", "wrong"), list(product((0, 1, 3, 10), (0, 1, 4))))
def test_the_distribution_is_that_of_another_library(right: int, wrong: int) -> None:
    """The exact sum is the cumulative beta distribution, and the interval holds nine tenths of it or a little more."""
    held = Mastery(right + wrong, right)
    for chance in (0.1, 0.5, 0.8, 0.95):
        found = below(Fraction(chance), held.tried, held.right)
        assert float(found) == pytest.approx(beta.cdf(chance, right + 1, wrong + 1))
    low, high = held.interval
    covered = beta.cdf(float(high), right + 1, wrong + 1) - beta.cdf(float(low), right + 1, wrong + 1)
    assert 0.9 - 1e-9 <= covered < 0.96
    assert float(held.chance) == pytest.approx(beta.mean(right + 1, wrong + 1))


@pytest.mark.parametrize(
    ("right", "of", "holds"),
    [
        (0, 0, Holds.UNSURE),
        (1, 1, Holds.UNSURE),
        (0, 1, Holds.NEEDS_PRACTICE),
        (1, 2, Holds.NEEDS_PRACTICE),
        (4, 5, Holds.UNSURE),
        (6, 6, Holds.UNSURE),
        (7, 7, Holds.SECURE),
        (10, 10, Holds.SECURE),
        (6, 10, Holds.NEEDS_PRACTICE),
    ],
)
def test_little_is_said_of_few_answers(right: int, of: int, holds: Holds) -> None:
    """One right answer shows nothing, seven of seven that a skill is held; one wrong of two asks for practice."""
    assert Mastery(of, right).holds is holds


def test_students_of_whom_the_truth_is_known_are_recovered() -> None:
    """Of simulated students, nine in ten have their true chance within the interval, and words err at most as said.

    Chances are drawn as in a usual class, most of them above 60%, and not evenly, as the model holds beforehand.
    """
    chance = random.Random(20)
    inside = students = wrongly = said = 0
    for _ in range(4_000):
        truth = chance.betavariate(6, 2)
        of = chance.randrange(1, 11)
        held = Mastery(of, sum(chance.random() < truth for _ in range(of)))
        low, high = held.interval
        students += 1
        inside += low <= Fraction(truth) <= high
        if held.holds is not Holds.UNSURE:
            said += 1
            wrongly += (held.holds is Holds.SECURE) != (truth >= LEVEL)
    assert inside / students >= 0.9
    assert said > students / 4
    assert wrongly / said <= 1 - SURE


def test_only_the_latest_problems_speak_and_those_that_wait_are_silent() -> None:
    """Ten right ones after many wrong ones are a skill that is held; an answer before a person is no answer yet."""
    learned = [*tried("rates", *[False] * 20), *tried("rates", *[True] * 10)]
    assert mastery_by_skill(learned)["rates"] == Mastery(10, 10)
    waiting = Problem(1, "rates", Fraction(0), right=False, waits=True)
    assert mastery_by_skill([waiting]) == {}
    assert skill_needs([waiting]) == ()


def test_needs_come_in_order_with_their_mistakes() -> None:
    """The least held first; what a student has right is no need; certain mistakes stand before possible ones."""
    what = {"kind": "recorded.text", "text": "inverted"}
    perhaps = Mistake(2, "rate", "inverted", "rate", "", certain=False, what=what)
    surely = Mistake(3, "rate", "left out", "rate", "", certain=True, what=what)
    problems = (
        Problem(1, "doses", Fraction(1), right=True),
        Problem(2, "rates", Fraction(0), right=False, wrong=("rate",), mistakes=(perhaps,)),
        Problem(3, "rates", Fraction(0), right=False, wrong=("rate",), mistakes=(surely,)),
        Problem(4, "times", Fraction(0), right=False, wrong=("end",)),
    )
    rates, times = skill_needs(problems, earlier=tried("times", *[True] * 5))
    assert (rates.skill, rates.tried, rates.right) == ("rates", 2, 0)
    assert rates.mistakes == (surely, perhaps)
    assert times.skill == "times"
    assert times.mastery == Mastery(6, 5)
