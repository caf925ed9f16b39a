"""How an answer came to be right, as facts of `way.toml`; and who made it so."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calclib.wording.facts import Fact, fact, fact_from_record

RULING, REKEYED = "way.ruling", "way.rekeyed"
_BY_A_PERSON = frozenset({RULING, REKEYED})
_OLD_REKEYED, _OLD_RULING = "keyed anew, ", "ruling "


def decided(way: Fact | None) -> bool:
    """Tell whether a person made the answers right to which a way leads, and not the rounding policy."""
    return way is not None and way.kind in _BY_A_PERSON


def rekeyed(why: Fact) -> Fact:
    """Return the way to what a person made right by re-keying.

    Args:
        why: What makes it right.
    """
    return fact("way.rekeyed", why=why)


def way_from_record(record: Mapping[str, Any] | str) -> Fact:
    """Return a way as an item records it; one that an older version recorded as a sentence keeps that sentence.

    Args:
        record: The recorded way.

    Raises:
        KeyError: It has no kind.
    """
    if not isinstance(record, str):
        return fact_from_record(record)
    if record.startswith(_OLD_REKEYED):
        return rekeyed(Fact("recorded.text", (("text", record.removeprefix(_OLD_REKEYED)),)))
    text = Fact("recorded.text", (("text", record),))
    return rekeyed(text) if record.startswith(_OLD_RULING) else text
