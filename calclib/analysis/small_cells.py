"""Which counts of a table may be shown to others: none of so few that somebody in it could be found out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

_STEPS = (1, 2, 5, 10)

LEAST = 10
"""Cells under ten are suppressed (common practice of schools that publish results)."""


def shown_cells(counts: Sequence[int], *, least: int = LEAST) -> tuple[int | None, ...]:
    """Return counts that add up to a known total, None for each that is not shown.

    A count under `least` is not shown, nor is none at all: that nobody passed says something of everybody. Where the
    hidden ones could be found by subtraction, since one stands alone or all together are under `least`, the smallest
    of the others is hidden too, and so on.

    Args:
        counts: How many are in each cell; nobody is in two.
        least: The smallest count that is shown.
    """
    hidden = {place for place, count in enumerate(counts) if count < least}
    rest = sorted((count, place) for place, count in enumerate(counts) if place not in hidden)
    for _, place in rest:
        if not hidden or (len(hidden) > 1 and sum(counts[one] for one in hidden) >= least):
            break
        hidden.add(place)
    return tuple(None if place in hidden else count for place, count in enumerate(counts))


def shown_share(count: int, of: int, *, least: int = LEAST) -> int | None:
    """Return how many of a class there are, None where they or the others are too few to be shown."""
    return shown_cells((count, of - count), least=least)[0]


@dataclass(frozen=True)
class ShownMean:
    """A mean score that others may see.

    Attributes:
        percent: In percent.
        step: To which multiple it is rounded, 0 if it is told as it is.
    """

    percent: Fraction
    step: int = 0


def shown_mean(mean: Fraction, of: int, points: Fraction, hidden: Sequence[Fraction]) -> ShownMean | None:
    """Return a mean score as it may be shown beside how many had each problem right; None if it may not.

    The mean tells the points of all problems together; less those of the problems whose count is shown, it would tell
    what is hidden. So it is rounded until at least twice `LEAST` counts of each hidden problem go with it.

    Args:
        mean: In percent.
        of: How many students it is of.
        points: The points of the set.
        hidden: The points of each problem whose count isn't shown.
    """
    if not hidden:
        return ShownMean(mean)
    for step in _STEPS:
        if step * of * points >= 100 * 2 * LEAST * max(hidden):
            return ShownMean(Fraction(step * ((2 * mean + step) // (2 * step))), step)
    return None
