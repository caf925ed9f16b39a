"""A talk with a student recorded: who coached, what was agreed, an appeal opened or settled."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from calclib.class_files.class_folder import class_folder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student, read_roster
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.records.coaching import open_appeals, talks
from calclib.records.history import EventKind, write_history
from calclib.records.part_marks import clean
from calclib.records.people import pseudonym_of
from calclib.records.sealed import sealed_set
from calclib.releasing.sign_off import name_of_signer
from calclib.wording.facts import fact

LONGEST = 2_000


class TalkChangedError(BadInput):
    """Something was written about a student since the page was made; nothing was recorded."""


def record_talk(
    folder: Path,
    set_name: str,
    student: str,
    *,
    kind: EventKind,
    by: str,
    note: str,
    agreed: str = "",
    now: dt.datetime,
    seen: int | None = None,
) -> Student:
    """Append a line about a student to the history, and return the student; nothing in it is changed later.

    Args:
        folder: The class folder.
        set_name: The set that it is about.
        student: The student's id.
        kind: `COACHED`, `APPEALED` or `APPEAL_SETTLED`.
        by: Who coached or decided.
        note: What was talked over.
        agreed: What was agreed.
        now: The time that is recorded.
        seen: How many lines about the student the person had read; None for whatever was written meanwhile.

    Raises:
        TalkChangedError: something was written about the student since.
        BadInput: no such set or student, no name, words missing or too long, or no open appeal that could be settled.
    """
    where = class_folder(folder)
    if not by.strip() or not note.strip():
        raise BadInput(fact("errors_releasing.who_and_what"))
    words = {"by": name_of_signer(by), "note": clean(note.strip()), "agreed": clean(agreed.strip())}
    if any(len(text) > LONGEST for text in words.values()):
        raise BadInput(fact("errors_releasing.note_too_long", most=LONGEST))
    found = next((one for one in read_roster(where.roster).students if one.id == student), None)
    if found is None:
        raise BadInput(fact("errors_releasing.not_on_roster", student=visible(student)))
    with gradebook_transaction(where) as connection:
        if sealed_set(connection, set_name) is None:
            raise BadInput(fact("errors_records.no_set", name=visible(set_name)))
        pseudonym = pseudonym_of(connection, student)
        if pseudonym is None:
            raise BadInput(fact("errors_releasing.not_on_roster", student=visible(student)))
        written = talks(connection).get(pseudonym, ())
        if seen is not None and seen != len(written):
            raise TalkChangedError(fact("errors_releasing.written_meanwhile"))
        if kind is EventKind.APPEAL_SETTLED and set_name not in open_appeals(written):
            raise BadInput(fact("errors_releasing.no_appeal_open", student=visible(student), name=visible(set_name)))
        write_history(connection, at=now, kind=kind, set_name=set_name, pseudonym=pseudonym, detail=words)
    return found
