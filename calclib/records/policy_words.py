"""What the policies of a set say, from what was recorded when it was handed out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.errors import BadInput, CalclibError
from calclib.records.rulings import day_in_words, in_force, keying, ruling_in_words, rulings_of
from calclib.records.sealed import SealedSet, frozen_text, sealed_set
from calclib.records.toml_lines import read_toml

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.items import ItemModel
    from calclib.quantity import RoundingPolicy


def policies_in_words(connection: Connection, sealed: SealedSet) -> Mapping[str, str]:
    """Return one or two sentences of the rounding and of the marking policy, by "rounding" and "marking".

    Where a ruling keys the set otherwise than its notebooks say, that is said too.
    """
    rounding = json.loads(frozen_text(connection, sealed.rounding_hash) or "{}")
    marking = read_toml(frozen_text(connection, sealed.marking_hash) or "", where=sealed.marking)
    words = {"rounding": str(rounding.get("says", "")), "marking": str(marking.get("says", ""))}
    ruling = keying(in_force(rulings_of(connection, sealed.name)))
    if ruling is not None:
        said = f"Ruling of {day_in_words(ruling.at)}: {ruling_in_words(ruling)} {ruling.reason}"
        words["rounding"] = f"{words['rounding']} {said}"
    return words


def marking_in_force(connection: Connection, sealed: SealedSet) -> MarkingPolicy:
    """Return the marking policy of a set, from its recorded text.

    Raises:
        BadInput: the record is damaged.
    """
    from calclib.answers import read_marking_policy

    return read_marking_policy(frozen_text(connection, sealed.marking_hash) or "", f"{sealed.marking} (as recorded)")


def rounding_in_force(connection: Connection, sealed: SealedSet) -> RoundingPolicy:
    """Return the rounding policy of a set, from its recorded text.

    Raises:
        CalclibError: the record is lost.
    """
    return recorded_rounding(connection, sealed.rounding_hash)


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
        raise CalclibError("The record of a rounding policy is lost: restore the gradebook from a backup.")
    return RoundingPolicy.from_record(json.loads(text))


def printed_rounding(connection: Connection, sealed: SealedSet) -> RoundingPolicy | None:
    """Return the policy that the notebooks of a set print, if what is right by it counts beside another; else None.

    Args:
        connection: The class's database.
        sealed: The set, as it was handed out or as it is ruled.

    Raises:
        CalclibError: the record is lost.
    """
    ruling = keying(in_force(rulings_of(connection, sealed.name)))
    before = sealed_set(connection, sealed.name)
    if ruling is None or not ruling.value["printed"] or before is None:
        return None
    return recorded_rounding(connection, before.rounding_hash)


def recorded_model(connection: Connection, key: str) -> ItemModel | None:
    """Return a recorded item model; None if this version can no longer read it: then nothing is carried forward."""
    from calclib.items import read_item_model

    text = frozen_text(connection, key)
    try:
        return None if text is None else read_item_model(text, "recorded item model")
    except BadInput:
        return None
