"""How sure decisions at the cut are: against another library, and against classes of which the truth is known."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
from scipy.stats import beta, betabinom  # type: ignore[import-untyped]

from calclib.analysis.cut_decisions import cut_decisions, effective_length, expected_decisions
from calclib.analysis.item_statistics import cronbach_alpha, mean, variance

Answers = list[list[int]]


@pytest.mark.parametrize(("first", "second"), [(8.0, 2.0), (18.0, 1.5), (0.6, 0.4), (3.0, 9.0)])
@pytest.mark.parametrize(("length", "cut"), [(10, Fraction(9, 10)), (20, Fraction(4, 5)), (7, Fraction(1, 2))])
def test_the_shares_are_those_of_another_library(first: float, second: float, length: int, cut: Fraction) -> None:
    """Whoever passes wrongly or rightly passes: together the beta-binomial tail; the rest follows from the beta."""
    found = expected_decisions(length, cut, first, second)
    needed = -(-cut.numerator * length // cut.denominator)
    passing = 1 - betabinom.cdf(needed - 1, length, first, second)
    able = 1 - beta.cdf(float(cut), first, second)
    assert able - found.failed_wrongly + found.passed_wrongly == pytest.approx(passing, abs=1e-5)
    # Two sets of the same length are one of twice the length, split at random: alike where both halves are.
    both = _both_pass(length, needed, first, second)
    assert found.consistency == pytest.approx(1 - 2 * (passing - both), abs=1e-5)


def _both_pass(length: int, needed: int, first: float, second: float) -> float:
    """The share that passes two parallel sets: the first's outcome sharpens what is known of the true score."""
    return float(
        sum(
            betabinom.pmf(n, length, first, second)
            * (1 - betabinom.cdf(needed - 1, length, first + n, second + length - n))
            for n in range(needed, length + 1)
        )
    )


def answers(chance: random.Random, truths: list[float], items: int) -> Answers:
    """Right and wrong answers of students with these true scores."""
    return [[int(chance.random() < truth) for _ in range(items)] for truth in truths]


def shares(rows: Answers) -> list[Fraction]:
    """Each student's share of right answers."""
    return [Fraction(sum(row), len(row)) for row in rows]


def test_simulated_classes_are_recovered() -> None:
    """From one form of twenty items: how often a second one decides alike, and how many pass and fail wrongly."""
    chance, cut = random.Random(7), Fraction(4, 5)
    truths = [chance.betavariate(9, 2) for _ in range(3_000)]
    one, two = answers(chance, truths, 20), answers(chance, truths, 20)
    found = cut_decisions(shares(one), cut, cronbach_alpha(one))
    assert found is not None
    passed, again = ([share >= cut for share in shares(rows)] for rows in (one, two))
    able = [truth >= cut for truth in truths]
    count = len(truths)
    alike = sum(a == b for a, b in zip(passed, again, strict=True)) / count
    wrongly = sum(p and not a for p, a in zip(passed, able, strict=True)) / count
    missed = sum(a and not p for p, a in zip(passed, able, strict=True)) / count
    assert found.consistency == pytest.approx(alike, abs=0.02)
    assert (found.passed_wrongly, found.failed_wrongly) == pytest.approx((wrongly, missed), abs=0.02)
    assert found.length == pytest.approx(20, abs=1)


def test_a_test_of_right_and_wrong_has_its_own_length() -> None:
    """With KR-21, k/(k-1) (1 - M(k-M)/(k s)), the effective length is the number of items."""
    rows = answers(random.Random(1), [0.6, 0.9, 0.8, 0.3] * 10, 12)
    center, spread = mean(shares(rows)), variance(shares(rows))
    reliability = Fraction(12, 11) * (1 - center * (1 - center) / (12 * spread))
    assert effective_length(center, spread, reliability) == 12


@pytest.mark.parametrize(
    ("count", "reliability"), [(29, Fraction(1, 2)), (40, None), (40, Fraction(0)), (40, Fraction(-1, 9))]
)
def test_nothing_is_said_of_too_few(count: int, reliability: Fraction | None) -> None:
    """Under 30 students, or without a reliability between 0 and 1, there is no number."""
    assert cut_decisions([Fraction(n % 10, 10) for n in range(count)], Fraction(9, 10), reliability) is None
