"""Classical item statistics of a set: how hard each item was, how well it told students apart, how sure the totals are.

Sums are exact; a root makes a number floating point, and no mark depends on any of these.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm, sqrt

from calclib.wording.facts import Fact, fact, of_kind

# Ebel and Frisbie, 1991, as cited on teaching pages.
VERY_GOOD, GOOD, MARGINAL = 0.40, 0.30, 0.20
# Downing and Yudkowsky, as cited in a secondary text: item analysis is stable near 200 examinees, wants caution under
# 100, and is of some use at 30.
STABLE, CAUTION, SOME_USE = 200, 100, 30

Scores = Sequence[Sequence[Fraction | int]]


@dataclass(frozen=True)
class ItemStatistics:
    """What a class did with one item.

    Attributes:
        students: Number of students with a score.
        difficulty: Mean share of the points, 0 to 1: the higher, the easier. For items scored 0 or 1, the share right.
        discrimination: Correlation of the item with the sum of the *other* items; None where it can't be computed.
    """

    students: int
    difficulty: Fraction
    discrimination: float | None


def item_statistics(scores: Scores) -> tuple[ItemStatistics, ...]:
    """Return the statistics of each item: its p value and its corrected item-total (for 0 and 1, point-biserial) r.

    Source: the teaching file on KR-20 (K. Wuensch, East Carolina University) for p; the documentation of a package for
    R for the point-biserial with the item excluded from the total.

    Args:
        scores: One row a student, one column an item; shares of the points, 0 to 1.
    """
    columns = _columns(scores)
    totals = [sum(row) for row in zip(*columns, strict=True)]
    found = []
    for column in columns:
        rest = [total - score for total, score in zip(totals, column, strict=True)]
        found.append(ItemStatistics(len(column), mean(column), correlation(column, rest)))
    return tuple(found)


def cronbach_alpha(scores: Scores) -> Fraction | None:
    """Return Cronbach's alpha, k/(k-1) (1 - sum of item variances / variance of totals); for 0 and 1 it is KR-20.

    Population variances stand in numerator and denominator alike; mixing p q with a sample variance, a classic slip,
    gives another number. Source: the teaching file on KR-20 (K. Wuensch, East Carolina University).

    Args:
        scores: One row a student, one column an item.

    Returns:
        Alpha, or None for fewer than two items, fewer than two students, or totals that don't differ.
    """
    columns = _columns(scores)
    items = len(columns)
    total = variance([sum(row) for row in zip(*columns, strict=True)]) if len(scores) > 1 else Fraction(0)
    if items < 2 or total == 0:
        return None
    return Fraction(items, items - 1) * (1 - sum(variance(column) for column in columns) / total)


def alpha_without_each(scores: Scores) -> tuple[Fraction | None, ...]:
    """Return, for each item, the alpha of the set without it."""
    width = len(scores[0]) if scores else 0
    return tuple(
        cronbach_alpha([[s for n, s in enumerate(row) if n != left] for row in scores]) for left in range(width)
    )


def standard_error_of_measurement(scores: Scores) -> float | None:
    """Return the standard error of a total, in the unit of the scores: SD times the root of 1 - alpha.

    The standard deviation is the population's, as in `cronbach_alpha`. Source: standard texts, from memory.
    """
    alpha = cronbach_alpha(scores)
    if alpha is None:
        return None
    return sqrt(variance([sum(row) for row in scores]) * max(Fraction(0), 1 - alpha))


def mean(values: Sequence[Fraction | int]) -> Fraction:
    """Return the mean, 0 for no values."""
    return Fraction(sum(values)) / len(values) if values else Fraction(0)


def median(values: Sequence[Fraction | int]) -> Fraction:
    """Return the median, 0 for no values."""
    ordered = sorted(values)
    middle = len(ordered) // 2
    if not ordered:
        return Fraction(0)
    return Fraction(ordered[middle]) if len(ordered) % 2 else Fraction(ordered[middle - 1] + ordered[middle]) / 2


def variance(values: Sequence[Fraction | int]) -> Fraction:
    """Return the population variance, 0 for no values."""
    whole, unit = _whole(values)
    count = len(whole)
    if not count:
        return Fraction(0)
    return Fraction(count * sum(n * n for n in whole) - sum(whole) ** 2, (count * unit) ** 2)


def correlation(first: Sequence[Fraction | int], second: Sequence[Fraction | int]) -> float | None:
    """Return Pearson's correlation, None where one side doesn't vary."""
    (one, _), (two, _) = _whole(first), _whole(second)
    count = len(one)
    here = count * sum(n * n for n in one) - sum(one) ** 2
    there = count * sum(n * n for n in two) - sum(two) ** 2
    if not here or not there:
        return None
    together = count * sum(a * b for a, b in zip(one, two, strict=True)) - sum(one) * sum(two)
    return together / sqrt(here * there)


def _whole(values: Sequence[Fraction | int]) -> tuple[list[int], int]:
    """Values in whole numbers of the largest unit that all share, and how many of it make 1: sums of these are fast."""
    unit = lcm(*{value.denominator for value in values})
    return [value.numerator * (unit // value.denominator) for value in values], unit


def discrimination_told(value: float | None) -> Fact:
    """Return what a discrimination is usually called: very good, good, marginal, poor or negative."""
    if value is None:
        return fact("report.discrimination_none")
    steps = ((VERY_GOOD, "very_good"), (GOOD, "good"), (MARGINAL, "marginal"), (0.0, "poor"))
    word = next((word for least, word in steps if value >= least), "negative")
    return of_kind("report", f"discrimination_{word}")


def class_size_told(students: int) -> Fact | None:
    """Return how far item statistics of so many students can be trusted; None where they are stable."""
    if students >= STABLE:
        return None
    if students >= CAUTION:
        return fact("report.size_still_shifts", students=students)
    if students >= SOME_USE:
        return fact("report.size_hints", students=students)
    return fact("report.size_says_little", students=students)


def _columns(scores: Scores) -> list[list[Fraction | int]]:
    return [list(column) for column in zip(*scores, strict=True)]
