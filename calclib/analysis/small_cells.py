"""Which counts of a table may be shown to others: none of so few that somebody in it could be found out."""

from __future__ import annotations

from collections.abc import Sequence

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
