"""The results of a class in one set: our marks, with what a person changed in nbgrader's gradebook."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student, read_roster
from calclib.errors import BadInput
from calclib.gradebook.given_by_hand import HandScores
from calclib.records.database import reading
from calclib.records.handed_out import times_made
from calclib.records.lateness import Due, DueKind, attempt_dues, due_of
from calclib.records.part_marks import Fails, MarkedPaper, PartMark, marked_attempts, marked_papers
from calclib.records.people import pseudonyms
from calclib.records.rulings.ruled_set import as_ruled
from calclib.records.rulings.ruling import Ruling, in_force, rulings_of
from calclib.records.sealed import SealedSet, sealed_set
from calclib.records.set_aside import SetAsideReason, set_aside
from calclib.wording.facts import fact, of_kind
from calclib.wording.sentences import said

_NO_DUE = Due(DueKind.NONE)


@dataclass(frozen=True)
class PartResult:
    """One answer's result as it stands.

    Attributes:
        mark: What the judge made of it.
        manual: Points that a person gave in place of the automatic ones.
        extra: Points that a person added.
        open: Whether a person still has to look.
        comment: What a person wrote to the student.
    """

    mark: PartMark
    manual: Fraction | None
    extra: Fraction
    open: bool
    comment: str

    @property
    def earned(self) -> Fraction:
        """Points as they stand: the person's where there are any."""
        points = self.mark.earned if self.manual is None else self.manual
        return points + self.extra if self.extra else points


@dataclass(frozen=True)
class StudentResult:
    """One student's result.

    Attributes:
        student: The student.
        pseudonym: What stands for the student in records.
        parts: The answers in the order of the set; none if nothing was marked.
        aside: Why the notebook was set aside, None if it wasn't.
        penalty: Points lost for being late.
        time: When the notebook was handed in.
        attempt: Number of the attempt that counts, from 1.
        submission: SHA-256 of the notebook that was marked, "" if none was.
        attempts: How many attempts were marked.
        due: By when the attempt that counts was due.
    """

    student: Student
    pseudonym: str
    parts: tuple[PartResult, ...]
    aside: SetAsideReason | None
    penalty: Fraction
    time: dt.datetime | None
    attempt: int = 1
    submission: str = ""
    attempts: int = 0
    due: Due = _NO_DUE

    @cached_property
    def earned(self) -> Fraction:
        """Points as they stand, the penalty taken off; never below 0."""
        return max(sum((part.earned for part in self.parts), Fraction(0)) - self.penalty, Fraction(0))

    @property
    def open(self) -> bool:
        """Whether anything waits for a person."""
        return any(part.open for part in self.parts)

    @property
    def failed_outright(self) -> bool:
        """Whether an error fails the whole set by its marking policy, and a person has confirmed it."""
        return bool(self.failing(Fails.EXAM))

    @property
    def failure_waits(self) -> bool:
        """Whether an error fails the whole set by its marking policy once a person has confirmed it."""
        return bool(self.failing(Fails.EXAM_WAITS))

    def failing(self, fails: Fails) -> tuple[PartMark, ...]:
        """Return the answers whose error fails so much, but for those to which a person gave points."""
        return tuple(part.mark for part in self.parts if part.mark.fails == fails and part.manual is None)


@dataclass(frozen=True)
class SetResults:
    """A set's results, in the order of the roster, with the rulings in force."""

    sealed: SealedSet
    students: tuple[StudentResult, ...]
    rulings: tuple[Ruling, ...] = ()

    @property
    def marked(self) -> tuple[StudentResult, ...]:
        """Students whose notebook was marked or set aside."""
        return tuple(one for one in self.students if one.parts)

    @property
    def judged(self) -> tuple[StudentResult, ...]:
        """Students whose notebook was marked and not set aside."""
        return tuple(one for one in self.marked if not one.aside)

    @property
    def missing(self) -> tuple[Student, ...]:
        """Students without a marked notebook."""
        return tuple(one.student for one in self.students if not one.parts)

    @property
    def left_out(self) -> Mapping[int, Ruling]:
        """The problems that say nothing of the class, since all of their parts were credited to everyone or void."""
        bad = [ruling for ruling in self.rulings if ruling.kind in ("credit", "void")]
        found: dict[int, Ruling] = {}
        for slot in self.sealed.slots:
            here = [ruling for ruling in bad if ruling.slot == slot.number]
            if all(any(ruling.covers(slot.number, part, "") for ruling in here) for part in slot.points):
                found[slot.number] = here[-1]
        return found

    @property
    def late(self) -> tuple[tuple[StudentResult, dt.datetime], ...]:
        """Students whose notebook came in late, each with the time by which it was due for that student."""
        each = ((one, one.due.time) for one in self.marked)
        return tuple((one, due) for one, due in each if due is not None and one.time is not None and one.time > due)

    def percent(self, one: StudentResult) -> Fraction:
        """Return a student's score in percent of the points of the set."""
        return 100 * one.earned / self.sealed.points if self.sealed.points else Fraction(0)

    def scores_cut(self, one: StudentResult) -> bool:
        """Return whether a student's score reaches the cut score, whatever an error fails."""
        return self.percent(one) >= self.sealed.cut_score

    def reaches_cut(self, one: StudentResult) -> bool:
        """Return whether a student passes: the score reaches the cut score, and no error fails the set or may."""
        return self.scores_cut(one) and not one.failed_outright and not one.failure_waits


def attempt_in_words(sealed: SealedSet, one: StudentResult) -> str:
    """Return which attempt counts and by which rule; "" where the student has one attempt alone."""
    allowed = sealed.attempts + one.student.accommodations.in_set(sealed.name).extra_attempts
    if allowed == 1 and one.attempts < 2:
        return ""
    keep = of_kind("keep", sealed.keep)
    if one.attempts == 1:
        return said("attempt.only_marked", number=one.attempt, keep=keep)
    return said("attempt.one_of_marked", number=one.attempt, count=one.attempts, keep=keep)


def set_results(folder: ClassFolder, set_name: str) -> SetResults:
    """Return the results of a set as they stand now.

    Raises:
        BadInput: no such set was handed out, or the roster is wrong.
    """
    roster = read_roster(folder.roster)
    with reading(folder) as connection:
        sealed = sealed_set(connection, set_name)
        if sealed is None:
            raise BadInput(fact("errors_records.no_set", name=visible(set_name)))
        rulings = in_force(rulings_of(connection, set_name))
        sealed = as_ruled(sealed, rulings)
        names = pseudonyms(connection)
        papers = marked_papers(connection, set_name)
        tried = Counter(pseudonym for pseudonym, _ in marked_attempts(connection, set_name))
        reasons = {one.pseudonym: one.reason for one in set_aside(connection, set_name)}
        hands = HandScores(connection, set_name)
        made, dues = times_made(connection, set_name), attempt_dues(connection, set_name)
        students = []
        for student in roster.students:
            name = names.get(student.id, "")
            paper = papers.get(name, MarkedPaper(name, 1, "", ()))
            parts = tuple(_part(hands, student.id, mark) for mark in paper.marks)
            penalty, time = hands.submission(student.id)
            key = name, paper.attempt
            due = due_of(sealed, student, paper.attempt, made.get(key), dues.get(key, sealed.due))
            more = (reasons.get(name), penalty, time, paper.attempt, paper.submission, tried[name], due)
            students.append(StudentResult(student, name, parts, *more))
    return SetResults(sealed, tuple(students), rulings)


def _part(hands: HandScores, student: str, mark: PartMark) -> PartResult:
    given = hands.of_answer(student, check_cell=mark.check_cell, answer_cell=mark.answer_cell)
    is_open = mark.needs_person if given.open is None else given.open
    return PartResult(mark, given.manual, given.extra, is_open, given.comment)
