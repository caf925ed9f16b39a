"""Mark a set: read the notebooks as data, judge them by the sealed records, write the gradebook in one transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from sqlalchemy import Connection

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student, read_roster
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.judging_papers.autograded import note_to_rewrite
from calclib.judging_papers.changes import Change, Resubmitted
from calclib.judging_papers.further_attempts import FurtherAttempt
from calclib.judging_papers.marking_run import Across, Found, Marking
from calclib.judging_papers.rekey_set import rekey_set
from calclib.records.sealed import lock_set, sealed_set
from calclib.records.set_aside import SetAsideReason
from calclib.wording.facts import fact

__all__ = ["Change", "Marked", "mark", "marked_within"]

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Marked:
    """What marking led to.

    Attributes:
        marked: Number of students whose notebook was judged.
        changed: Number of them of whom any notebook is new since the last marking.
        waiting: Number of answers that wait for a person.
        aside: Students whose notebook was set aside, with the reason.
        missing: Students who handed nothing in.
        notes: One sentence for whatever else needs a look.
        changes: Students whose marks change although their notebook is the same, with what changes; and those of whom
            a ruling takes another.
        resubmitted: Students whose marks change because another notebook came in after marks were given.
        further: Attempts of which another notebook than before is marked, of students who have several.
        times_waiting: Number of students of whom a person must say whether the hand-in is late.
        undone: Whether nothing was written: for a preview, or because marks would change.
        to_rewrite: Pseudonyms of those whose notebook for the formgrader an earlier run left to be written again.
    """

    marked: int
    changed: int
    waiting: int
    aside: tuple[tuple[Student, SetAsideReason], ...]
    missing: tuple[Student, ...]
    notes: tuple[str, ...]
    changes: tuple[Change, ...] = ()
    resubmitted: tuple[Resubmitted, ...] = ()
    undone: bool = False
    times_waiting: int = 0
    further: tuple[FurtherAttempt, ...] = ()
    to_rewrite: frozenset[str] = frozenset()


class Undone(Exception):
    """Raised within a transaction to take all of it back."""


def mark(
    folder: Path,
    set_name: str,
    *,
    now: dt.datetime,
    progress: Progress | None = None,
    only: Collection[str] | None = None,
    db_url: str | None = None,
    preview: bool = False,
    stop_at_changes: bool = False,
    across: Across | None = None,
) -> Marked:
    """Mark every notebook of a set that was collected; no student's code is run.

    A second run leaves the same gradebook. Scores that a person gave by hand stay.

    Args:
        folder: The class folder.
        set_name: The set.
        now: The time that is recorded.
        progress: Called with the number done, the number in all and the student's name.
        only: Ids of the students whose notebooks are marked; everybody's if None.
        db_url: The gradebook's database, if it is another than the class folder says.
        preview: Only tell what marking would lead to; nothing is written.
        stop_at_changes: Write nothing if marks change that were given before to the same notebooks.
        across: Judges the papers on other machines; here if None.

    Raises:
        BadInput: the class folder or its roster is wrong, or no such set was handed out.
    """
    where = class_folder(folder, db_url=db_url)
    found: list[Marked] = []
    try:
        with gradebook_transaction(where) as connection:
            found.append(
                marked_within(
                    connection,
                    where,
                    set_name,
                    now=now,
                    progress=progress,
                    only=only,
                    undo=lambda found: preview or (stop_at_changes and bool(found.changes)),
                    files=not preview,
                    across=across,
                )
            )
            if found[0].undone:
                raise Undone
        note_to_rewrite(where, set_name, found[0].to_rewrite)
    except Undone:
        pass
    return found[0]


def marked_within(
    connection: Connection,
    where: ClassFolder,
    set_name: str,
    *,
    now: dt.datetime,
    undo: Callable[[Found], bool],
    progress: Progress | None = None,
    only: Collection[str] | None = None,
    files: bool = True,
    across: Across | None = None,
    taken: Mapping[str, ClassFolder] = MappingProxyType({}),
) -> Marked:
    """Mark within a transaction that is open; see `mark`. The caller takes it back where the result is `undone`.

    Args:
        connection: A connection in a transaction, with the gradebook open.
        where: The class folder.
        set_name: The set.
        now: The time that is recorded.
        undo: Says, by what was found and before any file is written, whether all is taken back.
        progress: Called with the number done, the number in all and the student's name.
        only: Ids of the students whose notebooks are marked; everybody's if None.
        files: Whether the notebooks for the formgrader are written too.
        across: Judges the papers on other machines; here if None.
        taken: By student id, the class folder where to look for a hand-in that a ruling takes. What changes for these
            students is told although their notebook is another than before.
    """
    roster = read_roster(where.roster)
    lock_set(connection, set_name)
    sealed = sealed_set(connection, set_name)
    if sealed is None:
        raise BadInput(fact("errors_records.no_set", name=visible(set_name)))
    rekey_set(connection, set_name, now=now)
    students = [one for one in roster.students if only is None or one.id in only]
    marking = Marking(connection, where, sealed, roster, now, files=files, across=across, taken=taken)
    found = marking.run(students, progress, whole_class=only is None)
    undone = undo(found)
    if not undone:
        marking.write_files()
    return Marked(
        marked=found.marked,
        changed=found.changed,
        waiting=found.waiting,
        aside=tuple(found.aside),
        missing=tuple(found.missing),
        notes=tuple(found.notes),
        changes=tuple(found.changes),
        resubmitted=tuple(found.resubmitted),
        undone=undone,
        times_waiting=found.times_waiting,
        further=tuple(found.further),
        to_rewrite=found.to_rewrite,
    )
