"""How an answer came to be right, as facts of `way.toml`; and who made it so."""

from __future__ import annotations

from calclib.wording.facts import Fact, fact

RULING, REKEYED = "way.ruling", "way.rekeyed"
_BY_A_PERSON = frozenset({RULING, REKEYED})


def decided(way: Fact | None) -> bool:
    """Tell whether a person made the answers right to which a way leads, and not the rounding policy."""
    return way is not None and way.kind in _BY_A_PERSON


def rekeyed(why: Fact) -> Fact:
    """Return the way to what a person made right by re-keying.

    Args:
        why: What makes it right.
    """
    return fact("way.rekeyed", why=why)
