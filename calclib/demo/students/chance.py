"""Chance that a text alone decides, the same on every machine."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from decimal import Decimal
from typing import TypeVar

T = TypeVar("T")
FINE = 10**12


class Chance:
    """A stream of decisions.

    Args:
        text: Equal texts decide equally.
    """

    def __init__(self, text: str) -> None:
        self._text = text
        self._count = 0

    def below(self, bound: int) -> int:
        """Return a whole number from 0 to `bound` - 1."""
        self._count += 1
        digest = hashlib.sha256(f"{self._text}\n{self._count}".encode("utf-8", "surrogatepass")).digest()
        return int.from_bytes(digest, "big") % bound

    def share(self) -> Decimal:
        """Return a number from 0 up to 1."""
        return Decimal(self.below(FINE)) / FINE

    def happens(self, probability: Decimal) -> bool:
        """Whether something of this probability happens."""
        return self.share() < probability

    def one_of(self, things: Sequence[T]) -> T:
        """Return one of several things, each equally likely."""
        return things[self.below(len(things))]

    def weighted(self, things: Sequence[tuple[T, Decimal]]) -> T:
        """Return one of several things by their weights."""
        left = self.share() * sum(weight for _, weight in things)
        for thing, weight in things:
            left -= weight
            if left < 0:
                return thing
        return things[-1][0]

    def about_normal(self) -> Decimal:
        """Return a number of mean 0 and deviation 1: a sum of twelve even shares, less six."""
        return sum((self.share() for _ in range(12)), Decimal(-6))
