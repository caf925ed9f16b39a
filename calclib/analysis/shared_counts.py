"""Counts as they may leave the department: small cells are left out, and what would give them away.

Common practice of suppression: a share of fewer than ten people isn't told, nor one of which fewer than ten, but some,
are on either side.
"""

from __future__ import annotations

from fractions import Fraction

SMALLEST = 10


def shared_share(count: int, of: int) -> Fraction | None:
    """Return a share in per cent, None where it could tell of single people.

    Args:
        count: How many of them.
        of: How many in all.
    """
    if of < SMALLEST or 0 < count < SMALLEST or 0 < of - count < SMALLEST:
        return None
    return Fraction(100 * count, of)


def shared_count(count: int) -> int | None:
    """Return a number of people, None where it is small and not zero."""
    return None if 0 < count < SMALLEST else count
