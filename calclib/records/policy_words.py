"""What the policies of a set say, from what was recorded when it was handed out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.errors import CalclibError
from calclib.records.sealed import SealedSet, frozen_text
from calclib.records.toml_lines import read_toml

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy


def policies_in_words(connection: Connection, sealed: SealedSet) -> Mapping[str, str]:
    """Return one or two sentences of the rounding and of the marking policy, by "rounding" and "marking"."""
    rounding = json.loads(frozen_text(connection, sealed.rounding_hash) or "{}")
    marking = read_toml(frozen_text(connection, sealed.marking_hash) or "", where=sealed.marking)
    return {"rounding": str(rounding.get("says", "")), "marking": str(marking.get("says", ""))}


def policy_sources(connection: Connection, sealed: SealedSet) -> tuple[str, str, str]:
    """Return what the rounding policy says, its source and the source of the marking policy, as citations."""
    rounding = json.loads(frozen_text(connection, sealed.rounding_hash) or "{}")
    marking = read_toml(frozen_text(connection, sealed.marking_hash) or "", where=sealed.marking)
    cited = [_cited(str(policy.get("source", ""))) for policy in (rounding, marking)]
    return str(rounding.get("says", "")), cited[0], cited[1]


def marking_in_force(connection: Connection, sealed: SealedSet) -> MarkingPolicy:
    """Return the marking policy of a set, from its recorded text.

    Raises:
        BadInput: the record is damaged.
    """
    from calclib.answers import read_marking_policy

    return read_marking_policy(frozen_text(connection, sealed.marking_hash) or "", f"{sealed.marking} (as recorded)")


def _cited(key: str) -> str:
    from calclib.sources import source

    try:
        return source(key).cite()
    except CalclibError:
        # A policy of a course's own may name its source in words.
        return key or "none given"
