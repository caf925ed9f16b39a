"""The marking policy of faculty's own that a blueprint names, read from its file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.class_files.blueprint import Blueprint
from calclib.class_files.marking_file import own_marking_policy
from calclib.class_files.names import visible
from calclib.class_files.toml_lines import line_of
from calclib.errors import BadInput
from calclib.errors.printed_command import printed_command
from calclib.records.frozen.frozen_texts import frozen_text
from calclib.records.frozen.policy_texts import marking_text
from calclib.records.sealed import SealedSet
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy


def own_marking(order: Blueprint, blueprint: Path) -> MarkingPolicy | None:
    """Return the policy of the file that a blueprint names; None if it names one that ships.

    Args:
        order: The blueprint.
        blueprint: Its file; the path is read from its folder.

    Raises:
        BadInput: there is no such file, or it is wrong; with the line.
    """
    if not order.marking.endswith(".toml"):
        return None
    path = blueprint.parent / order.marking
    if not path.is_file():
        raise BadInput(
            fact("errors_releasing.no_marking_file", name=visible(order.marking)),
            where=blueprint.name,
            line=line_of(order.text, "marking"),
        )
    return own_marking_policy(path)


def changed_marking(connection: Connection, order: Blueprint, blueprint: Path, sealed: SealedSet) -> Iterator[str]:
    """Yield a sentence if the file of the marking policy is another by now than what the set is marked by."""
    path = blueprint.parent / order.marking
    if not order.marking.endswith(".toml") or not path.is_file():
        return
    if marking_text(own_marking_policy(path)) != frozen_text(connection, sealed.marking_hash):
        command = printed_command("rule", "CLASS", sealed.name, "--marking", order.marking)
        yield said("handing_out.marking_changed", file=visible(order.marking), command=command)
