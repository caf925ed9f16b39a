"""What the policies of a set say, from what was recorded when it was handed out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.class_files.toml_lines import recorded_toml
from calclib.errors import BadInput, CalclibError
from calclib.records.frozen.frozen_texts import frozen_text
from calclib.records.sealed import SealedSet
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.models import ItemModel
    from calclib.quantity import RoundingPolicy


def policies_in_words(connection: Connection, sealed: SealedSet) -> Mapping[str, str]:
    """Return one or two sentences of the rounding and of the marking policy, by "rounding" and "marking"."""
    rounding = json.loads(frozen_text(connection, sealed.rounding_hash) or "{}")
    marking = recorded_toml(frozen_text(connection, sealed.marking_hash) or "", where=sealed.marking)
    return {"rounding": str(rounding.get("says", "")), "marking": str(marking.get("says", ""))}


def marking_in_force(connection: Connection, sealed: SealedSet) -> MarkingPolicy:
    """Return the marking policy of a set, from its recorded text.

    Raises:
        BadInput: the record is damaged.
    """
    from calclib.answers import read_marking_policy

    return read_marking_policy(frozen_text(connection, sealed.marking_hash) or "", f"{sealed.marking} (as recorded)")


def recorded_rounding(connection: Connection, key: str) -> RoundingPolicy:
    """Return a recorded rounding policy.

    Args:
        connection: The class's database.
        key: The hash of its text.

    Raises:
        CalclibError: the record is lost.
    """
    from calclib.quantity import RoundingPolicy

    text = frozen_text(connection, key)
    if text is None:
        raise CalclibError(fact("errors_records.policy_lost"))
    return RoundingPolicy.from_record(json.loads(text))


def recorded_model(connection: Connection, key: str) -> ItemModel | None:
    """Return a recorded item model; None if this version can no longer read it: then nothing is carried forward."""
    from calclib.models import read_item_model

    text = frozen_text(connection, key)
    try:
        return (
            None
            if text is None
            else read_item_model(text, "recorded item model", lambda digest: frozen_text(connection, digest))
        )
    except BadInput:
        return None
