"""What a set is judged by, from what was recorded with it and from the rulings since."""

from __future__ import annotations

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
