"""One run of marking, by the hundred: read and judge, then write what changed, so that memory stays flat."""

from __future__ import annotations

import datetime as dt
import gc
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection

from calclib import __version__
from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.roster import Roster, Student
from calclib.collecting.file_owner import told_of
from calclib.collecting.lateness_question import with_settled_time
from calclib.collecting.notebooks_to_mark import HandedIn, handed_in, submitted_path
from calclib.collecting.plain_file import Damaged
from calclib.gradebook.grade_rows import CellGrade, GradeRows, Submission, Totals
from calclib.gradebook.notebook import AnswerPlace
from calclib.judging_papers.autograded import Printed, note_to_rewrite, tells, to_rewrite, write_autograded
from calclib.judging_papers.change_causes import CauseFinder, ChangeCause, marked_before, sign_of
from calclib.judging_papers.changes import Change, Resubmitted, change_of, last_written
from calclib.judging_papers.further_attempts import FurtherAttempt, further_attempts
from calclib.judging_papers.judged_attempt import Attempt, kept_attempt, mark_changed
from calclib.judging_papers.judged_paper import Basis, JudgedPaper, judge_paper, places_of
from calclib.judging_papers.judging_basis import basis_of, versions_of
from calclib.judging_papers.left_blank.class_pictures import class_pictures
from calclib.judging_papers.papers_to_mark import papers_to_mark
from calclib.records.frozen.recorded_policies import recorded_rounding
from calclib.records.history import EventKind, HistoryLine, write_history, write_lines
from calclib.records.lateness import Due, attempt_dues, due_of, late_share, recorded_lates
from calclib.records.part_marks import StoredRows, replace_rows, stored_rows
from calclib.records.people import pseudonyms
from calclib.records.rulings.ruled_set import as_ruled
from calclib.records.sealed import SealedPaper, SealedSet
from calclib.records.set_aside import SetAside, SetAsideKind, SetAsideReason, replace_set_aside, set_aside
from calclib.records.set_times import zone_of
from calclib.releasing.printed_rules import costs_in_short, rule_lines, rules_of_set
from calclib.wording import said

Progress = Callable[[int, int, str], None]
# So many students' records and grades are in memory at a time.
_BATCH = 100
# Enough to keep many machines at work.
_BATCH_ACROSS = 2_000


@dataclass(frozen=True)
class BasisForAll:
    """What every paper of a set is judged by: `judge_paper` says what each is."""

    places: Sequence[AnswerPlace]
    basis: Basis


# Applies a function of what all have in common and of one thing to each of some things, in their order.
Across = Callable[[Callable[[Any, Any], Any], Any, Sequence[Any]], Iterable[Any]]


def in_turn(function: Callable[[Any, Any], Any], shared: Any, things: Sequence[Any]) -> Iterator[Any]:
    """Apply a function to each thing here, one after the other, when it is asked for."""
    return (function(shared, one) for one in things)


def judged_paper(shared: BasisForAll, one: HandedIn) -> JudgedPaper:
    """Judge one paper, whatever its notebook sets off; a pure function, so it gives the same on any machine."""
    try:
        return judge_paper(one.data, one.paper, shared.places, shared.basis)
    except Exception as error:  # noqa: BLE001 - whatever one notebook sets off, the others are marked
        reason = Damaged(SetAsideKind.PROGRAM_ERROR, type(error).__name__)
        return judge_paper(reason, one.paper, shared.places, shared.basis)


@contextmanager
def _garbage_left() -> Iterator[None]:
    """Leave circles of objects to be found later: marking makes few, and the search takes a fifth of its time."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()


@dataclass
class Found:
    """What marking finds as it goes."""

    marked: int = 0
    changed: int = 0
    waiting: int = 0
    times_waiting: int = 0
    aside: list[tuple[Student, SetAsideReason]] = field(default_factory=list)
    missing: list[Student] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    resubmitted: list[Resubmitted] = field(default_factory=list)
    further: list[FurtherAttempt] = field(default_factory=list)
    to_rewrite: frozenset[str] = frozenset()


class Marking:
    """Marks a set within one transaction.

    Args:
        connection: A connection in a transaction, with the gradebook open.
        where: The class folder.
        sealed: The set as it was handed out.
        roster: The class.
        now: The time that is recorded.
        files: Whether the notebooks for the formgrader are written too.
        across: Judges the papers elsewhere; here, one after the other, if None.
        taken: By student id, the class folder where to look for a hand-in that a ruling takes.
    """

    def __init__(
        self,
        connection: Connection,
        where: ClassFolder,
        sealed: SealedSet,
        roster: Roster,
        now: dt.datetime,
        *,
        files: bool = True,
        across: Across | None = None,
        taken: Mapping[str, ClassFolder] = MappingProxyType({}),
    ) -> None:
        self.taken = taken
        self.connection, self.where, self.now, self.roster, self.files = connection, where, now, roster, files
        pictures = class_pictures(where, sealed.name, roster.students)
        self.basis = replace(basis_of(connection, sealed), pictures=pictures)
        self.sealed = as_ruled(sealed, self.basis.rulings)
        self.places = places_of(self.sealed)
        self.rows = GradeRows(connection, sealed.name)
        self.names = pseudonyms(connection)
        self.owners = {name: student for student, name in self.names.items()}
        self.basis_for_all = BasisForAll(self.places, self.basis)
        self.across = across or in_turn
        self.batch = _BATCH if across is None else _BATCH_ACROSS
        self.found = Found()
        self.held_to_first: set[str] = set()
        self.printed: dict[dt.datetime | None, Printed] = {}
        self.files_later: list[tuple[Student, Attempt]] = []
        self.to_rewrite = to_rewrite(where, sealed.name) if files else frozenset()
        self.versions = versions_of(self.sealed, self.basis, __version__)
        before = marked_before(connection, sealed.name)
        self.causes = CauseFinder(before, self.sealed, self.basis.rulings, __version__, self.basis.pictures)
        self.taken_notebooks = frozenset((one.pseudonym, one.takes) for one in self.basis.rulings if one.takes)
        self.dues, self.lates = attempt_dues(connection, sealed.name), recorded_lates(connection, sealed.name)
        rounding = recorded_rounding(connection, self.sealed.rounding_hash)
        self.rules = rules_of_set(self.sealed, rounding, self.basis.marking)
        # As the gradebook keeps them, in floating point, so that only what a ruling changes is taken for a change.
        self.points_after = Fraction(float(self.sealed.points)).limit_denominator(10_000)
        self.points_before = self.points_after

    def run(self, students: Sequence[Student], progress: Progress | None, *, whole_class: bool) -> Found:
        """Mark the notebooks of some students."""
        before = self.rows.set_points({place.check_id: float(place.points) for place in self.places})
        self.points_before = Fraction(before).limit_denominator(10_000)
        with _garbage_left():
            self._batches(students, progress)
        self.found.to_rewrite = (
            frozenset() if whole_class else self.to_rewrite - {self.names.get(s.id) for s in students}
        )
        self._record_aside(students)
        if whole_class:
            self._note_strangers()
        self._note_first_due()
        if self.found.changed or self.found.changes:
            counts = {"marked": self.found.marked, "changed": self.found.changed}
            regraded = {"regraded": len(self.found.changes), "resubmitted": len(self.found.resubmitted)}
            detail = {**counts, **regraded, **self.versions, "cut_score": str(self.sealed.cut_score)}
            detail |= {"pictures": sign_of(self.basis.pictures)} if self.basis.pictures else {}
            write_history(self.connection, at=self.now, kind=EventKind.MARKED, set_name=self.sealed.name, detail=detail)
        return self.found

    def _batches(self, students: Sequence[Student], progress: Progress | None) -> None:
        done = 0
        for start in range(0, len(students), self.batch):
            batch = students[start : start + self.batch]
            attempts: dict[str, tuple[Attempt, ...]] = {}
            paths = {one.id: submitted_path(self._place(one), self.sealed.name, one, self.found.notes) for one in batch}
            here = [self.names[student.id] for student in batch if paths[student.id] and student.id in self.names]
            papers = papers_to_mark(self.connection, self.sealed.name, here)
            handed = {
                one.id: self._handed(one, paths[one.id], papers.get(self.names.get(one.id, ""), ())) for one in batch
            }
            every = [one for notebooks in handed.values() for one in notebooks]
            judged = iter(self.across(judged_paper, self.basis_for_all, every))
            for student in batch:
                if handed[student.id]:
                    attempts[student.id] = tuple(
                        self._attempt(student, one, next(judged)) for one in handed[student.id]
                    )
                done += 1
                if progress:
                    progress(done, len(students), student.name)
            self._write([student for student in batch if student.id in attempts], attempts)

    def write_files(self) -> None:
        """Write the formgrader's notebooks of papers that were marked again; done once nobody objects to the change."""
        again = {self.names[student.id] for student, _ in self.files_later} - self.to_rewrite
        if again:
            note_to_rewrite(self.where, self.sealed.name, again | self.to_rewrite)
        for student, attempt in self.files_later:
            self._write_file(student, attempt)
        self.files_later.clear()

    def _handed(self, student: Student, path: Path | None, papers: Sequence[SealedPaper]) -> Sequence[HandedIn]:
        if path is None:
            self.found.missing.append(student)
            return ()
        if not papers:
            self.found.notes.append(said("marking.no_paper", who=told_of(student)))
            self.found.missing.append(student)
            return ()
        try:
            return handed_in(self._place(student), path, papers, student, self.taken_notebooks)
        except Exception as error:  # noqa: BLE001 - whatever one hand-in sets off, the others are marked
            return (HandedIn(papers[0], Damaged(SetAsideKind.PROGRAM_ERROR, type(error).__name__), None),)

    def _attempt(self, student: Student, one: HandedIn, judged: JudgedPaper) -> Attempt:
        due = self._due(student, one)
        timed, waits = with_settled_time(self.sealed, due.time, one, judged.submission, self.basis.rulings)
        return Attempt(timed, judged, late_share(self.sealed, due, timed.time), waits)

    def _due(self, student: Student, one: HandedIn) -> Due:
        """By when a notebook was due for its student."""
        made = dt.datetime.fromisoformat(one.paper.made)
        key = one.paper.pseudonym, one.paper.attempt
        of_attempt = self.dues.get(key, self.sealed.due)
        if one.paper.attempt > 1 and key not in self.dues and of_attempt is not None:
            self.held_to_first.add(student.id)
        return due_of(self.sealed, student, one.paper.attempt, made, of_attempt)

    def _place(self, student: Student) -> ClassFolder:
        return self.taken.get(student.id, self.where)

    def _write(self, students: Sequence[Student], attempts: Mapping[str, tuple[Attempt, ...]]) -> None:
        cut = self.sealed.cut_score * self.sealed.points / 100
        kept = {student.id: kept_attempt(attempts[student.id], self.sealed.keep, cut) for student in students}
        totals = self.rows.write([_submission(student, kept[student.id]) for student in students])
        names = [self.names[student.id] for student in students]
        before = stored_rows(self.connection, self.sealed.name, names)
        replaced: dict[tuple[str, int], StoredRows | None] = {}
        lines: list[HistoryLine] = []
        known: dict[str, dict[int, StoredRows]] = {}
        for (name, number), rows_before in before.items():
            known.setdefault(name, {})[number] = rows_before
        for student in students:
            one, name = kept[student.id], self.names[student.id]
            after = {
                (name, attempt.handed.paper.attempt): attempt.rows(counts=attempt is one)
                for attempt in attempts[student.id]
            }
            gone = [(name, number) for number in known.get(name, ()) if (name, number) not in after]
            changed = {key: rows for key, rows in after.items() if before.get(key) != rows} | dict.fromkeys(gone)
            replaced |= changed
            self._count(student, one, attempts[student.id], known.get(name, {}), totals[student.id])
            for attempt in attempts[student.id]:
                key = name, attempt.handed.paper.attempt
                marked_otherwise = key in changed and mark_changed(before.get(key), after[key])
                if marked_otherwise or self.lates.get(key, Fraction(0)) != attempt.late:
                    lines.append(self._line(name, attempt, counts=attempt is one))
            printed = self._printed(student, one)
            begun = name in self.to_rewrite
            if self.files and (changed or begun or not tells(self.where, self.sealed, student.id, printed)):
                self._file(student, one, again=begun or bool(before.keys() & after.keys()))
        time = self.now.isoformat(timespec="seconds")
        replace_rows(self.connection, self.sealed.name, replaced, marked=time, earlier=before.keys())
        write_lines(self.connection, self.sealed.name, lines, at=self.now)

    def _count(
        self,
        student: Student,
        one: Attempt,
        attempts: Sequence[Attempt],
        known: Mapping[int, StoredRows],
        totals: Totals,
    ) -> None:
        found, judged = self.found, one.judged
        found.marked += 1
        found.waiting += sum(mark.needs_person for mark in judged.marks)
        found.times_waiting += one.time_waits
        if judged.aside:
            reason = replace(judged.aside, owner=self.owners.get(judged.aside.made_for, ""))
            found.aside.append((student, reason))
        new = {each.handed.paper.attempt for each in attempts if each.is_new(known)}
        found.changed += bool(new)
        earlier = next((rows[0] for rows in known.values() if rows[0] and rows[0][0]["kept"]), ())
        taken = student.id in self.taken
        counted, counts = earlier[0]["attempt"] if earlier else 0, one.handed.paper.attempt
        change = self._change(student, one, earlier, totals) if earlier or taken else None
        further = [each for each in attempts if len(attempts) > 1 and each.handed.paper.attempt in new]
        told = tuple(further_attempts(student, further, known, counts, self.points_after))
        if change is not None and (taken or not {counted, counts} & new):
            found.changes.append(change)
        elif change is not None and counts in new - known.keys():
            told = tuple(replace(each, change=change) if each.attempt == counts else each for each in told)
        elif change is not None:
            page = self.where.feedback(self.sealed.name, student.id)
            feedback = last_written(page) if counted == counts else None
            found.resubmitted.append(Resubmitted(change, 0 if counted == counts else counts, one.handed.time, feedback))
            told = tuple(each for each in told if each.attempt not in (counted, counts))
        if not taken:
            found.further += told

    def _change(
        self, student: Student, one: Attempt, earlier: Sequence[Mapping[str, Any]], totals: Totals
    ) -> Change | None:
        """What changes of a student's result by the attempt that counts now."""
        attempt = self.names[student.id], one.handed.paper.attempt
        slots = [slot.of_attempt(*attempt) for slot in self.sealed.slots]
        of = self.points_before, self.points_after
        cuts = self.sealed.cut_score, self.causes.before.cut_score
        change = change_of(student, earlier, one.judged.marks, slots, totals, of, *cuts)
        if change is None:
            return None
        counted = earlier[0]["attempt"] if earlier else 0
        causes = self._causes(student, change, one, counted=counted, taken=student.id in self.taken)
        return replace(change, causes=causes)

    def _causes(
        self, student: Student, change: Change, one: Attempt, *, counted: int, taken: bool
    ) -> tuple[ChangeCause, ...]:
        name, counts = self.names[student.id], one.handed.paper.attempt
        slots = frozenset(answer.slot for answer in change.answers)
        late = self.lates.get((name, counted)), one.late
        return self.causes.causes(name, slots, late=late, other_attempt=counted not in (0, counts), taken=taken)

    def _line(self, name: str, attempt: Attempt, *, counts: bool) -> HistoryLine:
        detail = {
            "submission": attempt.judged.submission,
            "attempt": attempt.handed.paper.attempt,
            "counts": counts,
            "points": str(attempt.points),
            "late": str(attempt.late),
            "aside": bool(attempt.judged.aside),
            "basis": self.versions["basis"],
        }
        return HistoryLine(EventKind.JUDGED, name, detail)

    def _file(self, student: Student, one: Attempt, *, again: bool) -> None:
        if again:
            self.files_later.append((student, one))
        else:
            self._write_file(student, one)

    def _write_file(self, student: Student, one: Attempt) -> None:
        printed = self._printed(student, one)
        write_autograded(self.where, self.sealed, student.id, one.handed.paper, one.judged.marks, printed)

    def _printed(self, student: Student, one: Attempt) -> Printed:
        """The rules by which an attempt is marked, as they are printed."""
        due = self._due(student, one.handed).time
        if due not in self.printed:
            self.printed[due] = Printed(rule_lines(self.rules, due, zone_of(self.sealed)), costs_in_short(self.rules))
        return self.printed[due]

    def _record_aside(self, looked_at: Sequence[Student]) -> None:
        rows = tuple(SetAside(self.names[student.id], reason, "") for student, reason in self.found.aside)
        seen = {self.names.get(student.id) for student in looked_at}
        rows += tuple(one for one in set_aside(self.connection, self.sealed.name) if one.pseudonym not in seen)
        noticed = self.now.isoformat(timespec="seconds")
        replace_set_aside(self.connection, set_name=self.sealed.name, aside=rows, noticed=noticed)

    def _note_first_due(self) -> None:
        """Say whose further attempts are held to the first due time, as the version that gave them said."""
        if self.held_to_first:
            ids = tuple(sorted(self.held_to_first))
            self.found.notes.append(said("marking.held_to_first_due", students=ids, set=self.sealed.name))

    def _note_strangers(self) -> None:
        """Say which folders of submissions belong to nobody on the roster."""
        known = self.roster.by_id()
        folder = self.where.path / "submissions"
        names = sorted(p.name for p in folder.iterdir() if (p / self.sealed.name).is_dir()) if folder.is_dir() else []
        for name in names:
            if name not in known:
                self.found.notes.append(said("marking.stranger", name=visible(name)))


def _submission(student: Student, one: Attempt) -> Submission:
    grades = {mark.check_cell: CellGrade(float(mark.earned), mark.needs_person) for mark in one.judged.marks}
    forgets = one.handed.time is None and one.handed.receipt is not None
    return Submission(student.id, one.handed.time, grades, one.judged.untouched, float(one.late), forgets)
