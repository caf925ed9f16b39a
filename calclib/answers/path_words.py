"""A legitimate path in words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from calclib.faults.factor_faults import conversion_words
from calclib.quantity.equivalences import equivalences


def path_words(by: str) -> str:
    """Return a path in words: conversions as they are taught and not by their names.

    Args:
        by: The path as an accepted answer records it.
    """
    words = []
    for piece in by.split("; "):
        name, equals, number = piece.partition(" = ")
        known = equals and name in equivalences()
        words.append(
            f"with {conversion_words(replace(equivalences()[name], value=Fraction(number)))}" if known else piece
        )
    return "; ".join(words)
