"""What may have been meant by a name that isn't known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from calclib.wording.facts import Fact, fact


def nearest_or_all(name: str, known: Iterable[str]) -> Fact:
    """Return the known name that is like a name, or all that are known.

    Args:
        name: What was written.
        known: The names that would do.
    """
    names = tuple(known)
    near = get_close_matches(name, names, 1)
    return fact("errors.did_you_mean", name=near[0]) if near else fact("errors.known_are", known=names)


def nearest_or_nothing(name: str, known: Iterable[str]) -> Fact:
    """Return the known name that is like a name, to follow a sentence; it says nothing if there is none.

    Args:
        name: What was written.
        known: The names that would do.
    """
    near = get_close_matches(name, tuple(known), 1)
    return fact("errors.nearest", name=near[0]) if near else fact("errors.nothing_near")
