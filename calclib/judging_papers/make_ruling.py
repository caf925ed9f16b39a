"""Make a ruling on a set: recorded and applied in one transaction, or shown first and taken back."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.roster import Student, read_roster
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.judging_papers.autograded import note_to_rewrite
from calclib.judging_papers.mark_set import Marked, Undone, marked_within
from calclib.judging_papers.marking_run import Found
from calclib.judging_papers.rekey_set import rekey_set
from calclib.judging_papers.ruling_request import CheckedRequest, RulingRequest
from calclib.records.history import EventKind, ruling_detail, write_history
from calclib.records.people import pseudonyms
from calclib.records.rulings.rekeyed_items import KeyChange, key_changes, rekey_notes
from calclib.records.rulings.ruling import Ruling, add_ruling
from calclib.records.sealed import lock_set
from calclib.releasing.proved_model import proved_model
from calclib.wording.facts import Fact, fact

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class RekeyNote:
    """What faculty should know of one student's problem that is re-keyed: it isn't fair by the new key, or has none."""

    student: Student
    problem: int
    told: Fact


@dataclass(frozen=True)
class RulingOutcome:
    """What a ruling leads to.

    Attributes:
        ruling: The ruling with its number.
        marked: The marking that follows from it.
        notes: What faculty should know of problems that a corrected model or another rounding policy doesn't key
            fairly, or not at all.
        keys: What became of the right answers where the ruling re-keys problems, with a student who has another.
    """

    ruling: Ruling
    marked: Marked
    notes: tuple[RekeyNote, ...] = ()
    keys: tuple[tuple[KeyChange, Student | None], ...] = ()

    @property
    def sign(self) -> str:
        """What stands for the outcome: another ruling, or another effect of it, has another sign."""
        return _sign(self.ruling, self.marked)


class OutcomeChangedError(BadInput):
    """A ruling would by now lead to something else than was shown; nothing was changed."""

    def __init__(self) -> None:
        super().__init__(fact("errors_judging_papers.outcome_changed"))


def make_ruling(
    folder: Path,
    set_name: str,
    request: RulingRequest,
    *,
    now: dt.datetime,
    preview: bool = False,
    seen: str | None = None,
    progress: Progress | None = None,
) -> RulingOutcome:
    """Record a ruling and mark the set by it.

    Args:
        folder: The class folder.
        set_name: The set.
        request: The ruling.
        now: The time that is recorded.
        preview: Only tell what it would lead to; nothing is written, and no reason is needed.
        seen: The sign of the outcome that the person was shown; the ruling is made only if it still leads to that.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: the ruling speaks of something that isn't there, or lacks something.
        OutcomeChangedError: it would lead to something else than was shown.
    """
    where = class_folder(folder)
    # A hand-in is put in its place before it is marked, so that is tried first.
    if seen is not None and request.kind == "hand_in":
        tried = make_ruling(folder, set_name, request, now=now, preview=True)
        if tried.sign != seen:
            raise OutcomeChangedError
    # Proving a file takes seconds, in which nobody else is kept waiting.
    corrected = proved_model(request.value["model"]) if request.kind == "model" else None
    found: list[RulingOutcome] = []
    try:
        with gradebook_transaction(where) as connection:
            lock_set(connection, set_name)
            checked = CheckedRequest(connection, where, set_name, request, now, corrected, preview=preview)
            ruling = add_ruling(connection, set_name, checked.ruling())
            detail = ruling_detail(ruling)
            write_history(
                connection, at=now, kind=EventKind.RULED, set_name=set_name, pseudonym=ruling.pseudonym, detail=detail
            )
            rekey_set(connection, set_name, now=now, refuse=ruling.kind == "model")

            def undo(run: Found, ruling: Ruling = ruling) -> bool:
                if seen is not None and _sign(ruling, run) != seen:
                    raise OutcomeChangedError
                return preview

            with checked.taken_hand_in(ruling, preview=preview) as taken:
                marked = marked_within(
                    connection,
                    where,
                    set_name,
                    now=now,
                    undo=undo,
                    progress=progress,
                    files=not preview,
                    taken=taken,
                )
            found.append(_outcome(connection, where, ruling, marked, set_name))
            if marked.undone:
                raise Undone
        note_to_rewrite(where, set_name, marked.to_rewrite)
    except Undone:
        pass
    return found[0]


def _sign(ruling: Ruling, run: Marked | Found) -> str:
    """What stands for a ruling and its effect; who rules, why and when are not part of it."""
    of = (ruling.number, ruling.kind, ruling.slot, ruling.part, ruling.pseudonym, sorted(ruling.value.items()))
    effect = (tuple(run.changes), tuple(run.resubmitted), tuple(run.further))
    return hashlib.sha256(repr((of, effect)).encode("utf-8", "surrogatepass")).hexdigest()


def _outcome(
    connection: Connection, where: ClassFolder, ruling: Ruling, marked: Marked, set_name: str
) -> RulingOutcome:
    """A ruling with what it leads to, where it re-keys problems also for their keys."""
    if ruling.kind not in ("rounding", "model"):
        return RulingOutcome(ruling, marked)
    names = pseudonyms(connection)
    students = {names.get(student.id): student for student in read_roster(where.roster).students}
    here = [found for found in rekey_notes(connection, set_name) if found[0] in students]
    notes = (RekeyNote(students[name], slot, note) for name, slot, said in here for note in said)
    changes = (one for one in key_changes(connection, set_name) if one.slot in (ruling.problems or (one.slot,)))
    return RulingOutcome(ruling, marked, tuple(notes), tuple((one, students.get(one.pseudonym)) for one in changes))
