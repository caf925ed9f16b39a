"""Mark a set: read the notebooks as data, judge them by the sealed records, write the gradebook in one transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from sqlalchemy import Connection

from calclib.errors import BadInput
from calclib.nbgrading.grade_rows import CellGrade, GradeRows
from calclib.nbgrading.gradebook import gradebook_transaction
from calclib.nbgrading.judged_paper import JudgedPaper, judge_paper, places_of
from calclib.nbgrading.policy_texts import basis_of
from calclib.nbgrading.stored_submission import submission_time
from calclib.nbgrading.submitted_notebook import Damaged, read_notebook_file
from calclib.records.class_folder import ClassFolder, class_folder
from calclib.records.marks import SetAside, marked_from, replace_marks, replace_set_aside
from calclib.records.names import visible
from calclib.records.roster import Roster, Student, read_roster
from calclib.records.sealed import SealedPaper, SealedSet, pseudonyms, sealed_paper, sealed_set, write_history

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Marked:
    """What marking led to.

    Attributes:
        marked: Number of students whose notebook was judged.
        changed: Number of them whose notebook is new since the last marking.
        waiting: Number of answers that wait for a person.
        aside: Students whose notebook was set aside, with the reason.
        missing: Students who handed nothing in.
        notes: One sentence for whatever else needs a look.
    """

    marked: int
    changed: int
    waiting: int
    aside: tuple[tuple[Student, str], ...]
    missing: tuple[Student, ...]
    notes: tuple[str, ...]


def mark(folder: Path, set_name: str, *, now: dt.datetime, progress: Progress | None = None) -> Marked:
    """Mark every notebook of a set that was collected; no student's code is run.

    A second run leaves the same gradebook. Scores that a person gave by hand stay.

    Args:
        folder: The class folder.
        set_name: The set.
        now: The time that is recorded.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: the class folder or its roster is wrong, or no such set was handed out.
    """
    where = class_folder(folder)
    roster = read_roster(where.roster)
    with gradebook_transaction(where) as connection:
        sealed = sealed_set(connection, set_name)
        if sealed is None:
            raise BadInput(f"No set '{visible(set_name)}' was handed out in this class: check the name.")
        return _Marking(connection, where, sealed, roster, now).run(progress)


class _Marking:
    def __init__(
        self, connection: Connection, where: ClassFolder, sealed: SealedSet, roster: Roster, now: dt.datetime
    ) -> None:
        self.connection, self.where, self.sealed, self.now = connection, where, sealed, now
        self.roster = roster
        self.basis = basis_of(connection, sealed)
        self.places = places_of(sealed)
        self.rows = GradeRows(connection, sealed.name)
        self.names = pseudonyms(connection)
        self.owners = {name: student for student, name in self.names.items()}
        self.before = marked_from(connection, sealed.name)
        self.notes: list[str] = []

    def run(self, progress: Progress | None) -> Marked:
        students = self.roster.students
        aside: list[tuple[Student, str]] = []
        missing: list[Student] = []
        marked = changed = waiting = 0
        for done, student in enumerate(students, start=1):
            judged = self.one(student)
            if judged is None:
                missing.append(student)
            else:
                marked += 1
                changed += judged.submission != self.before.get(self.names[student.id])
                waiting += sum(mark.needs_person for mark in judged.marks)
                if judged.aside:
                    aside.append((student, judged.aside))
            if progress:
                progress(done, len(students), student.name)
        self.record_aside(aside)
        self.note_strangers()
        if changed:
            detail = {"marked": marked, "changed": changed, "library_of_set": self.sealed.library}
            write_history(self.connection, at=self.now, event="marked", set_name=self.sealed.name, detail=detail)
        return Marked(marked, changed, waiting, tuple(aside), tuple(missing), tuple(self.notes))

    def one(self, student: Student) -> JudgedPaper | None:
        path = self.submitted(student)
        if path is None:
            return None
        name = self.names.get(student.id)
        paper = sealed_paper(self.connection, self.sealed.name, name) if name else None
        if name is None or paper is None:
            self.notes.append(
                f"{student.name} ({student.id}) handed in a notebook but was given none of this set: "
                "hand the set out again, and let the student work on the new notebook."
            )
            return None
        judged = self.judged(path, paper)
        time = submission_time(path.with_name("timestamp.txt"))
        self.rows.write(
            student.id,
            time=time,
            grades=_cell_grades(judged),
            no_response=judged.untouched,
            penalty_share=float(late_share(self.sealed, student, time)),
        )
        if judged.submission != self.before.get(name):
            detail = {"submission": judged.submission, "aside": bool(judged.aside)}
            write_history(
                self.connection, at=self.now, event="judged", set_name=self.sealed.name, pseudonym=name, detail=detail
            )
        replace_marks(
            self.connection,
            set_name=self.sealed.name,
            pseudonym=name,
            attempt=paper.attempt,
            marks=judged.marks,
            submission=judged.submission,
            marked=self.now.isoformat(timespec="seconds"),
        )
        return judged

    def judged(self, path: Path, paper: SealedPaper) -> JudgedPaper:
        linked = self.where.reached_by_link(path)
        data = Damaged("lies behind a link, not in a folder") if linked else read_notebook_file(path)
        try:
            return judge_paper(data, paper, self.places, self.basis, self.owners)
        except Exception as error:  # noqa: BLE001 - whatever one notebook sets off, the others are marked
            reason = f"couldn't be marked because of an error in this program ({type(error).__name__})"
            return judge_paper(Damaged(reason), paper, self.places, self.basis, self.owners)

    def submitted(self, student: Student) -> Path | None:
        """Return the student's notebook; one that was renamed is taken if it is the only one."""
        path = self.where.submitted(self.sealed.name, student.id)
        if path.is_symlink() or path.exists():
            return path
        others = sorted(path.parent.glob("*.ipynb")) if path.parent.is_dir() and not path.parent.is_symlink() else []
        if len(others) == 1:
            self.notes.append(
                f"{student.name} ({student.id}) handed in {visible(others[0].name)}; it was marked as {path.name}."
            )
            return others[0]
        if others:
            self.notes.append(
                f"{student.name} ({student.id}) handed in {len(others)} notebooks, none named {path.name}: rename one."
            )
        return None

    def record_aside(self, aside: list[tuple[Student, str]]) -> None:
        rows = tuple(SetAside(self.names[student.id], reason, "") for student, reason in aside)
        noticed = self.now.isoformat(timespec="seconds")
        replace_set_aside(self.connection, set_name=self.sealed.name, aside=rows, noticed=noticed)

    def note_strangers(self) -> None:
        """Say which folders of submissions belong to nobody on the roster."""
        known = self.roster.by_id()
        folder = self.where.path / "submissions"
        names = sorted(p.name for p in folder.iterdir() if (p / self.sealed.name).is_dir()) if folder.is_dir() else []
        for name in names:
            if name not in known:
                self.notes.append(f"submissions/{visible(name)} is of nobody on the roster and wasn't marked.")


def _cell_grades(judged: JudgedPaper) -> dict[str, CellGrade]:
    return {mark.check_cell: CellGrade(float(mark.earned), mark.needs_person) for mark in judged.marks}


def late_share(sealed: SealedSet, student: Student, time: dt.datetime | None) -> Fraction:
    """Return the share of the score, 0 to 1, that a submission loses for being late; a day begun counts as a day."""
    if sealed.due is None or time is None or not sealed.late_percent:
        return Fraction(0)
    due = sealed.due + dt.timedelta(minutes=student.accommodations.extra_minutes)
    if time <= due:
        return Fraction(0)
    days = -((due - time) // dt.timedelta(days=1))
    return min(Fraction(sealed.late_percent, 100) * days, Fraction(1))
