"""What the policies of a set say, from what was recorded when it was handed out."""

from __future__ import annotations

import json
from collections.abc import Mapping

from sqlalchemy import Connection

from calclib.records.sealed import SealedSet, frozen_text
from calclib.records.toml_lines import read_toml


def policies_in_words(connection: Connection, sealed: SealedSet) -> Mapping[str, str]:
    """Return one or two sentences of the rounding and of the marking policy, by "rounding" and "marking"."""
    rounding = json.loads(frozen_text(connection, sealed.rounding_hash) or "{}")
    marking = read_toml(frozen_text(connection, sealed.marking_hash) or "", where=sealed.marking)
    return {"rounding": str(rounding.get("says", "")), "marking": str(marking.get("says", ""))}
