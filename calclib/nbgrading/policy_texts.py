"""Policies and item models as they are recorded with a set, and read again when it is marked."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib.errors import CalclibError
from calclib.nbgrading.judged_paper import Basis
from calclib.records.keys_in_force import keys_in_force
from calclib.records.rulings import as_ruled, in_force, rulings_of
from calclib.records.sealed import SealedSet, frozen_text
from calclib.records.tables import ITEM

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.quantity import RoundingPolicy


def marking_text(policy: MarkingPolicy) -> str:
    """Return a marking policy in the format of its file; `read_marking_policy` reads it back."""
    words = [f"{key} = {_quoted(getattr(policy, key))}" for key in ("name", "title", "says", "source")]
    worth = [f'{verdict} = "{share}"' for verdict, share in policy.worth.items()]
    notices = [f'joint_commission = "{policy.joint_commission_costs}"', f'other = "{policy.other_notice_costs}"']
    notices.append(f'another_path = "{policy.another_path_costs}"')
    critical = [f'factor = "{policy.critical_factor}"', f"fails = {_quoted(policy.critical_fails)}"]
    tables = [("worth", worth), ("notices", notices), ("critical", critical)]
    return "\n".join([*words, *(line for name, lines in tables for line in (f"[{name}]", *lines))]) + "\n"


def rounding_text(policy: RoundingPolicy) -> str:
    """Return a rounding policy as JSON, from which it can be made again."""
    return json.dumps(policy.to_record(), ensure_ascii=False, sort_keys=True)


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
        raise CalclibError(f"The record of the set '{sealed.name}' is damaged: restore the gradebook from a backup.")
    hashes = connection.execute(select(ITEM.c.model_hash).where(ITEM.c.set_name == sealed.name).distinct()).scalars()
    return Basis(
        marking=read_marking_policy(marking, f"{sealed.marking} (as recorded)"),
        keys=keys_in_force(connection, sealed, hashes),
        rulings=rulings,
    )


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
