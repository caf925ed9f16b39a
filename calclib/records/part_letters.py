"""The letters that notebooks print before the parts of a problem: 3a, 3b."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from string import ascii_lowercase


def part_letters(parts: Iterable[str]) -> Mapping[str, str]:
    """Return the letter of each part by its name; "" where a problem has one part alone, or more than the alphabet.

    Args:
        parts: The names of the parts of one problem, in their order.
    """
    names = tuple(parts)
    if len(names) == 1:
        return {names[0]: ""}
    return dict.fromkeys(names, "") | dict(zip(names, ascii_lowercase, strict=False))
