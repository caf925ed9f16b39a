"""Where students stand, read and signed by a named person: one line of the history for each."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Collection, Sequence
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.class_files.standing_rules import StandingRules, standing_rules
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.gradebook.results import set_results
from calclib.records.database import reading
from calclib.records.history import EventKind, HistoryLine, write_lines
from calclib.records.sealed import sets_in_order
from calclib.releasing.sign_off import name_of_signer
from calclib.remediation.standings import StudentStanding, class_standing
from calclib.wording.facts import fact


class StandingChangedError(BadInput):
    """Somebody stands elsewhere by now than what was read, or somebody signed meanwhile."""


def standing_of_class(where: ClassFolder, rules: StandingRules) -> tuple[StudentStanding, ...]:
    """Return where each student of a class stands."""
    with reading(where) as connection:
        names = sets_in_order(connection)
    every = [set_results(where, name) for name in names]
    with reading(where) as connection:
        return class_standing(connection, every, rules)


def sign_of_standing(students: Sequence[StudentStanding]) -> str:
    """Return what stands for where a class stands, and for who signed it last."""
    digest = hashlib.sha256()
    for one in students:
        last = (one.signed.at.isoformat(), one.signed.by, one.signed.standing) if one.signed else ()
        digest.update(repr((one.pseudonym, one.sign, last)).encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


def sign_standing(
    folder: Path, *, by: str, now: dt.datetime, students: Collection[str] = (), seen: str = ""
) -> tuple[Student, ...]:
    """Record that a named person read where students stand, and return of whom it was recorded.

    Args:
        folder: The class folder.
        by: Who signs.
        now: The time that is recorded.
        students: Ids of the students; everyone if there are none.
        seen: What stood for the standing that the person read, see `sign_of_standing`; "" for whatever it is now.

    Raises:
        StandingChangedError: the standing is another by now than the one that was read.
        BadInput: no name, no such student, or the class folder or its `standing.toml` is wrong.
    """
    name = name_of_signer(by)
    where = class_folder(folder)
    rules = standing_rules(where)
    with gradebook_transaction(where) as connection:
        every = standing_of_class(where, rules)
        if seen and seen != sign_of_standing(every):
            raise StandingChangedError(fact("errors_releasing.standing_changed"))
        known = {one.student.id for one in every}
        for student in students:
            if student not in known:
                raise BadInput(fact("errors_releasing.not_on_roster", student=visible(student)))
        signed = [one for one in every if one.pseudonym and (not students or one.student.id in students)]
        lines = [
            HistoryLine(
                EventKind.STANDING_SIGNED,
                one.pseudonym,
                {"by": name, "requirement": one.requirement.value, "standing": one.sign},
            )
            for one in signed
        ]
        write_lines(connection, "", lines, at=now)
    return tuple(one.student for one in signed)
