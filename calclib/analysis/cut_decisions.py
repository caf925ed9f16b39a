"""How sure the decision at the cut score is: would a parallel set decide alike, and how many pass or fail wrongly.

The method is that of Livingston and Lewis (1995, Journal of Educational Measurement 32, 179-197), with a beta
distribution of two parameters for the true scores, which is the beta-binomial model of Huynh (1976, the same journal
13, 253-264) on a test of the effective length. Both from memory: no published data set was at hand, so the tests
compare with another library and with simulated classes of which the truth is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, comb, exp, lgamma, log

from calclib.analysis.item_statistics import SOME_USE, mean, variance

# Longer tests decide as one of this length does, to the digits that are shown.
_LONGEST = 400
_STEPS = 2_000


@dataclass(frozen=True)
class CutDecisions:
    """What can be expected of decisions at a cut score.

    Attributes:
        length: Items of a test of right and wrong answers that measures as well.
        consistency: Share of students for whom a parallel set would decide alike.
        passed_wrongly: Share of students who pass although their true score is below the cut.
        failed_wrongly: Share of students who fail although their true score reaches it.
    """

    length: int
    consistency: float
    passed_wrongly: float
    failed_wrongly: float


def cut_decisions(shares: Sequence[Fraction], cut: Fraction, reliability: Fraction | None) -> CutDecisions | None:
    """Return what can be expected of the decisions at a cut score.

    Args:
        shares: Each student's share of the points, 0 to 1.
        cut: The share that passes.
        reliability: Of the shares, such as Cronbach's alpha.

    Returns:
        None for fewer than 30 students, or where they differ too little for a reliability between 0 and 1.
    """
    if len(shares) < SOME_USE or reliability is None or not 0 < reliability < 1:
        return None
    center, spread = mean(shares), variance(shares)
    true_spread = reliability * spread
    if true_spread >= center * (1 - center):
        return None
    length = effective_length(center, spread, reliability)
    total = center * (1 - center) / true_spread - 1
    return expected_decisions(length, cut, float(center * total), float((1 - center) * total))


def effective_length(center: Fraction, spread: Fraction, reliability: Fraction) -> int:
    """Return how many right-or-wrong items measure as well: (m (1 - m) - r s) / (s (1 - r)), for shares from 0 to 1.

    For items scored 0 or 1 with KR-21 as the reliability it is their number. Source: Livingston and Lewis (1995), from
    memory.

    Args:
        center: Mean share.
        spread: Variance of the shares.
        reliability: Between 0 and 1.
    """
    exact = (center * (1 - center) - reliability * spread) / (spread * (1 - reliability))
    return max(1, min(_LONGEST, (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)))


def expected_decisions(length: int, cut: Fraction, first: float, second: float) -> CutDecisions:
    """Return what can be expected where true scores follow a beta distribution and errors a binomial one.

    Args:
        length: Number of items, each right or wrong.
        cut: The share that passes.
        first: The parameter of the beta distribution on the side of right answers.
        second: The one on the side of wrong answers.
    """
    needed = ceil(cut * length)
    alike = passed = failed = 0.0
    for true, weight in _weights(first, second, float(cut)):
        passes = _at_least(needed, length, true)
        alike += weight * (passes**2 + (1 - passes) ** 2)
        if true < float(cut):
            passed += weight * passes
        else:
            failed += weight * (1 - passes)
    return CutDecisions(length, alike, passed, failed)


def _weights(first: float, second: float, cut: float) -> Iterator[tuple[float, float]]:
    """True scores with what each stands for: midpoints between equal steps of the log odds, on each side of the cut."""
    scale = lgamma(first + second) - lgamma(first) - lgamma(second)
    middle = log(cut / (1 - cut)) if 0 < cut < 1 else 0.0
    for end in (-40 / first, 40 / second):
        edge = middle + end if end * middle >= 0 else end
        step = (edge - middle) / _STEPS
        for n in range(_STEPS):
            odds = middle + (n + 0.5) * step
            # Of the log odds t, the density is p^a (1-p)^b; far out, p and 1-p are computed apart, so that none is 0.
            right, wrong = -_log_of_one_and(-odds), -_log_of_one_and(odds)
            weight = exp(scale + first * right + second * wrong) * abs(step)
            if weight > 0:
                yield exp(right), weight


def _log_of_one_and(value: float) -> float:
    """log(1 + e^value), without overflow."""
    return value + log(1 + exp(-value)) if value > 0 else log(1 + exp(value))


def _at_least(needed: int, length: int, chance: float) -> float:
    if chance <= 0 or chance >= 1:
        return float(needed <= 0 or chance >= 1)
    wrong = 1 - chance
    return min(1.0, sum(comb(length, n) * chance**n * wrong ** (length - n) for n in range(needed, length + 1)))
