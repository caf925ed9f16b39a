"""How well a student has a skill: a beta-binomial model with the same weight on every chance beforehand.

A student has some chance to get a problem of a skill right. Before any answer every chance from 0 to 1 is held equally
likely; after `right` of `tried` problems it follows the beta distribution with right + 1 and wrong + 1 (Bayes 1763 and
Laplace's rule of succession, from memory; as a model of mastery tests Novick and Lewis 1974, from memory). Whole
numbers make its cumulative distribution a binomial sum, so that every decision here is exact.

The level and the odds are a convention (common practice): a skill is held where a student would get at least four of
five such problems right, and it is said only where that is at least four to one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from math import comb

from calclib.analysis.problems import Problem

LEVEL = Fraction(4, 5)
"""The chance of a right answer from which on a skill is held."""
SURE = Fraction(4, 5)
"""How likely it has to be that a skill is held, or isn't, before either is said."""
INTERVAL = Fraction(9, 10)
"""How likely the chance lies within the interval that is shown."""
LATEST = 10
"""So many of the latest problems of a skill are looked at: older ones say little of today."""

_FINE = 100


class Holds(StrEnum):
    """What can be said of a skill."""

    SECURE = "secure"
    UNSURE = "unsure"
    NEEDS_PRACTICE = "needs_practice"


@dataclass(frozen=True)
class Mastery:
    """How well one student has one skill.

    Attributes:
        tried: Problems that were looked at.
        right: Of these, how many were right.
    """

    tried: int
    right: int

    @property
    def chance(self) -> Fraction:
        """The expected chance to get the next problem right, by the rule of succession."""
        return Fraction(self.right + 1, self.tried + 2)

    @property
    def held(self) -> Fraction:
        """How likely it is that the chance reaches the level."""
        return 1 - below(LEVEL, self.tried, self.right)

    @property
    def interval(self) -> tuple[Fraction, Fraction]:
        """The chances between which the student's lies with nine chances of ten, in whole percent, rounded outward."""
        return _interval(self.tried, self.right)

    @property
    def holds(self) -> Holds:
        """What can be said of the skill."""
        if self.held >= SURE:
            return Holds.SECURE
        return Holds.NEEDS_PRACTICE if 1 - self.held > SURE else Holds.UNSURE


@cache
def below(chance: Fraction, tried: int, right: int) -> Fraction:
    """Return how likely a student's chance is at most `chance`, after so many problems.

    The regularized incomplete beta function at whole numbers, as a binomial tail: with a and b whole, I_x(a, b) is the
    probability of at least a successes in a + b - 1 trials (Abramowitz and Stegun 26.5.24, from memory).

    Args:
        chance: A chance, 0 to 1.
        tried: Problems.
        right: Right ones of these.
    """
    trials = tried + 1
    return sum(
        (comb(trials, n) * chance**n * (1 - chance) ** (trials - n) for n in range(right + 1, trials + 1)), Fraction(0)
    )


@cache
def _interval(tried: int, right: int) -> tuple[Fraction, Fraction]:
    tail = (1 - INTERVAL) / 2
    grid = [Fraction(n, _FINE) for n in range(_FINE + 1)]
    low = max(x for x in grid if below(x, tried, right) <= tail)
    high = min(x for x in grid if 1 - below(x, tried, right) <= tail)
    return low, high


def mastery_by_skill(problems: Iterable[Problem]) -> Mapping[str, Mastery]:
    """Return how well a student has each skill.

    Problems that wait for a person say nothing yet. What a student practiced alone is not among these problems unless
    it was handed in, and nothing of this counts toward passing.

    Args:
        problems: What the student did, the earliest first, from every exam and homework that is to be looked at.
    """
    by_skill: dict[str, list[bool]] = {}
    for one in problems:
        if not one.waits:
            by_skill.setdefault(one.skill, []).append(one.right)
    return {skill: _mastery(every[-LATEST:]) for skill, every in by_skill.items()}


def _mastery(right: list[bool]) -> Mastery:
    return Mastery(len(right), sum(right))
