"""What a set is judged by, from what was recorded with it and from the rulings since."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from sqlalchemy import Connection, select

from calclib.errors import CalclibError
from calclib.judging_papers.judged_paper import Basis
from calclib.judging_papers.key_sources import key_sources
from calclib.records.frozen.frozen_texts import frozen_text
from calclib.records.rulings.ruled_set import as_ruled
from calclib.records.rulings.ruling import in_force, rulings_of
from calclib.records.sealed import SealedSet
from calclib.records.tables import ITEM
from calclib.wording.facts import fact


def basis_of(connection: Connection, sealed: SealedSet) -> Basis:
    """Return what a set is judged by: as it was recorded when the set was handed out, and as faculty ruled since.

    Raises:
        CalclibError: the record is lost or can't be read.
    """
    from calclib.answers import read_marking_policy

    rulings = in_force(rulings_of(connection, sealed.name))
    sealed = as_ruled(sealed, rulings)
    marking = frozen_text(connection, sealed.marking_hash)
    if marking is None:
        raise CalclibError(fact("errors_judging_papers.damaged_record", name=sealed.name))
    hashes = connection.execute(select(ITEM.c.model_hash).where(ITEM.c.set_name == sealed.name).distinct()).scalars()
    return Basis(
        marking=read_marking_policy(marking, f"{sealed.marking} (as recorded)"),
        keys=key_sources(connection, sealed, hashes),
        rulings=rulings,
    )


def versions_of(sealed: SealedSet, basis: Basis, library: str) -> dict[str, Any]:
    """Return by what a set is marked: versions of policies, item models and program, and a short name for all of it.

    Args:
        sealed: The set as it counts now.
        basis: What it is judged by.
        library: The version of this program.
    """
    models: dict[str, str] = {}
    # A set may hold several versions of a model: that of the day, a corrected one, a later one for who came later.
    for model in sorted(basis.keys.models.values(), key=lambda one: (one.id, one.version, one.hash)):
        one = f"v{model.version} {model.hash[:12]}"
        models[model.id] = f"{models[model.id]} and {one}" if model.id in models else one
    versions: dict[str, Any] = {
        "library": library,
        "library_of_set": sealed.library,
        "marking": f"{sealed.marking} {sealed.marking_hash[:12]}",
        "rounding": f"{sealed.rounding} {sealed.rounding_hash[:12]}",
        "rulings": ", ".join(str(ruling.number) for ruling in basis.rulings),
        "models": models,
    }
    text = json.dumps(versions, sort_keys=True)
    return {**versions, "basis": hashlib.sha256(text.encode()).hexdigest()[:8]}
