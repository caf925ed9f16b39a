"""Notebooks that were set aside for a person, and why: a kind and what it needs, never a sentence."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import Connection, delete, insert, select

from calclib.records.part_marks import PartMark, clean
from calclib.records.tables import PERSON, SET_ASIDE


class SetAsideKind(StrEnum):
    """Why; the values are what is recorded, and never change."""

    # The notebook can't be read.
    NO_PLAIN_FILE = "no plain file"
    CANT_OPEN = "can't be opened"  # about: what the system says
    TOO_LARGE = "too large"  # about: the most MB
    BEHIND_LINK = "behind a link"
    DAMAGED_ZIP = "damaged in its zip"
    EMPTY = "empty"
    TOO_MANY_PARTS = "too many parts"
    TOO_DEEP = "too deep"
    NOT_WELL_FORMED = "not well-formed"  # about: where, or what is wrong
    NO_NOTEBOOK = "no notebook"
    OLDER_FORMAT = "older format"
    OTHER_FORMAT = "other format"
    NO_CELLS = "no cells"
    TOO_MANY_CELLS = "too many cells"  # about: the most
    PROGRAM_ERROR = "error in the program"  # about: its type
    # It can be read, and isn't the student's own.
    NOBODYS = "nobody's"
    OTHER_SET = "another set"
    OTHER_STUDENT = "another student"  # made_for: the pseudonym
    OTHER_VERSION = "another version"
    OTHER_PROBLEMS = "other problems"
    # What an earlier version recorded as a sentence of no kind, or as nothing any more.
    SENTENCE = "sentence"  # about: the sentence


UNREADABLE = frozenset(
    {
        SetAsideKind.NO_PLAIN_FILE,
        SetAsideKind.CANT_OPEN,
        SetAsideKind.TOO_LARGE,
        SetAsideKind.BEHIND_LINK,
        SetAsideKind.DAMAGED_ZIP,
        SetAsideKind.EMPTY,
        SetAsideKind.TOO_MANY_PARTS,
        SetAsideKind.TOO_DEEP,
        SetAsideKind.NOT_WELL_FORMED,
        SetAsideKind.NO_NOTEBOOK,
        SetAsideKind.OLDER_FORMAT,
        SetAsideKind.OTHER_FORMAT,
        SetAsideKind.NO_CELLS,
        SetAsideKind.TOO_MANY_CELLS,
        SetAsideKind.PROGRAM_ERROR,
    }
)
"""The kinds of which a file of any sort can be."""


@dataclass(frozen=True)
class SetAsideReason:
    """Why a notebook was set aside.

    Attributes:
        kind: The kind of reason.
        about: What the kind needs beside, see `SetAsideKind`.
        made_for: The pseudonym of the student for whom the notebook was made, where it is another's.
        owner: The id that the pseudonym stands for, "" where nobody of the class has it or had it; never recorded.
    """

    kind: SetAsideKind
    about: str = ""
    made_for: str = ""
    owner: str = ""

    def to_record(self) -> dict[str, str]:
        """Return what is recorded; `reason_from_record` reads it back."""
        fields = {"about": clean(self.about), "made_for": clean(self.made_for)}
        return {"kind": self.kind.value} | {name: text for name, text in fields.items() if text}


def reason_from_record(record: Mapping[str, str], owners: Mapping[str, str]) -> SetAsideReason:
    """Return a recorded reason.

    Args:
        record: See `SetAsideReason.to_record`.
        owners: Student id of each pseudonym.
    """
    name = record.get("made_for", "")
    return SetAsideReason(SetAsideKind(record["kind"]), record.get("about", ""), name, owners.get(name, ""))


def reason_of(mark: PartMark) -> SetAsideReason | None:
    """Return why the notebook of a mark was set aside, without the id of another student; None if it wasn't."""
    if mark.verdict != "set_aside":
        return None
    # Of a student who was erased nothing is left to be told.
    recorded = mark.detail.get("set_aside")
    return SetAsideReason(SetAsideKind.SENTENCE) if recorded is None else reason_from_record(recorded, {})


@dataclass(frozen=True)
class SetAside:
    """A notebook that waits for a person, with the reason."""

    pseudonym: str
    reason: SetAsideReason
    submission: str


def replace_set_aside(connection: Connection, *, set_name: str, aside: tuple[SetAside, ...], noticed: str) -> None:
    """Put the list of notebooks that wait for a person in the place of the earlier list."""
    connection.execute(delete(SET_ASIDE).where(SET_ASIDE.c.set_name == set_name))
    if aside:
        connection.execute(
            insert(SET_ASIDE),
            [
                {
                    "set_name": set_name,
                    "pseudonym": one.pseudonym,
                    "reason": json.dumps(one.reason.to_record(), ensure_ascii=False, sort_keys=True),
                    "submission": one.submission,
                    "noticed": noticed,
                }
                for one in aside
            ],
        )


def set_aside(connection: Connection, set_name: str) -> tuple[SetAside, ...]:
    """Return the notebooks of a set that wait for a person."""
    rows = connection.execute(select(SET_ASIDE).where(SET_ASIDE.c.set_name == set_name).order_by(SET_ASIDE.c.pseudonym))
    owners = {row.pseudonym: row.student_id for row in connection.execute(select(PERSON))}
    reasons = ((row, reason_from_record(json.loads(row.reason), owners)) for row in rows)
    return tuple(SetAside(row.pseudonym, reason, row.submission) for row, reason in reasons)
