"""What waits for a person in a set, as records: `calclib review` words them with commands, the desk with forms."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from pathlib import Path

from calclib.class_files import ClassFolder, class_folder
from calclib.collecting.lateness_question import is_open, settled_by
from calclib.collecting.receipts import read_receipts
from calclib.gradebook import PartResult, SetResults, StudentResult, set_results
from calclib.gradebook.waiting_attempts import attempts_that_wait, right_answers
from calclib.records import (
    Questioned,
    Ruling,
    in_force,
    questioned_hand_ins,
    reading,
    rulings_of,
)
from calclib.records.part_marks import Fails, PartMark
from calclib.records.people import pseudonyms
from calclib.records.set_aside_facts import for_faculty
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import Fact, fact
from calclib.wording.messages import recorded_message, recorded_reason


class CaseKind(StrEnum):
    """What waits, in the order in which it is listed."""

    NOTEBOOK = "notebook"
    ANSWER = "answer"
    FAILURE = "failure"
    FAILURE_BELOW = "failure_below"
    HAND_IN = "hand_in"
    TIME = "time"


@dataclass(frozen=True)
class Case:
    """One thing that waits for a person.

    Attributes:
        kind: What it is.
        student: The student's id.
        name: The student's name.
        slot: The problem, 0 where it is about no single answer.
        part: Name of the part.
        place: Where the answer stands, as the notebook prints it: "3b".
        asks: What the part asks, "" where the problem has one part.
        typed: What was typed.
        right: The right answer.
        why: Why it waits.
        more: What else a person should know.
        most: Points of the answer.
        of_picture: Whether a blank answer waits since a picture of the student's may hold it.
        fits: Whether a notebook or hand-in can be marked if faculty take it.
        sign: What names a hand-in.
        time: When it came in, in words.
        path: Where a hand-in lies in the class folder.
        attempt: The attempt that it is about, where that isn't the one that counts; else 0.
    """

    kind: CaseKind
    student: str
    name: str
    slot: int = 0
    part: str = ""
    place: str = ""
    asks: str = ""
    typed: str = ""
    right: str = ""
    why: Fact | str = ""
    more: tuple[Fact, ...] = ()
    most: Fraction = Fraction(0)
    of_picture: bool = False
    fits: bool = True
    sign: str = ""
    time: str = ""
    path: str = ""
    attempt: int = 0

    @property
    def who(self) -> Fact:
        """The student's name and id, with the attempt where that isn't the one that counts."""
        who = fact("report.who", name=self.name, id=self.student)
        return fact("waiting.at_attempt", who=who, number=self.attempt) if self.attempt else who


@dataclass(frozen=True)
class Cases:
    """What waits in a set.

    Attributes:
        results: The results as they stand.
        every: Each thing that waits, in the order in which it is listed.
        rulings: All rulings that were made, also those that were taken back.
    """

    results: SetResults
    every: tuple[Case, ...]
    rulings: tuple[Ruling, ...]

    def of(self, *kinds: CaseKind) -> tuple[Case, ...]:
        """Return those of some kinds."""
        return tuple(case for case in self.every if case.kind in kinds)


def cases_of(
    folder: Path,
    set_name: str,
    *,
    notebook_fits: Callable[[str], bool] = lambda _student: True,
    hand_in_fits: Callable[[Questioned], bool] = lambda _hand_in: True,
) -> Cases:
    """Return what waits for a person in a set, and the rulings that were made.

    Args:
        folder: The class folder.
        set_name: The set.
        notebook_fits: Whether the notebook of a student, by id, could be marked if faculty took it.
        hand_in_fits: Whether a questioned hand-in could be.

    Raises:
        BadInput: no such set was handed out, or the class folder is wrong.
    """
    where = class_folder(folder)
    results = set_results(where, set_name)
    found: list[Case] = []
    with reading(where) as connection:
        counting = {one.pseudonym: one.attempt for one in results.marked}
        for one in (*results.marked, *attempts_that_wait(connection, results)):
            if one.open and one.aside:
                why, fits = for_faculty(one.aside), notebook_fits(one.student.id)
                attempt = _other_attempt(one, counting)
                who = (one.student.id, one.student.name)
                found.append(Case(CaseKind.NOTEBOOK, *who, why=why, fits=fits, attempt=attempt))
            elif one.open:
                keys = right_answers(connection, results, one)
                attempt = _other_attempt(one, counting)
                found += [
                    replace(answer_case(results, one, part, keys), attempt=attempt) for part in one.parts if part.open
                ]
        rulings = rulings_of(connection, set_name)
        known = pseudonyms(connection)
    failures = [_failure(results, one, mark) for one in results.marked for mark in one.failing(Fails.EXAM_WAITS)]
    found += sorted(failures, key=lambda case: case.kind is CaseKind.FAILURE_BELOW)
    names = {one.student.id: one.student.name for one in results.students}
    for hand_in in questioned_hand_ins(where, set_name, in_force(rulings), known):
        found.append(
            Case(
                CaseKind.HAND_IN,
                hand_in.student,
                names.get(hand_in.student, hand_in.student),
                why=hand_in.why.fact(),
                fits=hand_in_fits(hand_in),
                sign=hand_in.sign,
                time=time_in_words(hand_in.time, zone_of(results.sealed)),
                path=hand_in.path.relative_to(where.path).as_posix(),
            )
        )
    found += _times(results, where, in_force(rulings))
    return Cases(results, tuple(found), rulings)


def _other_attempt(one: StudentResult, counting: Mapping[str, int]) -> int:
    return 0 if counting[one.pseudonym] == one.attempt else one.attempt


def answer_case(results: SetResults, one: StudentResult, part: PartResult, keys: Mapping[tuple[int, str], str]) -> Case:
    """Return one student's answer as something that a person looks at, whether it waits or not.

    Args:
        results: The results of the set.
        one: The student's.
        part: The answer.
        keys: The student's right answers, by problem and part.
    """
    mark = part.mark
    more = []
    if mark.detail.get("ruling_passed_over"):
        more.append(fact("ruling.passed_over", number=mark.detail["ruling_passed_over"]))
    if part.manual is not None:
        more.append(fact("waiting.given_by_hand"))
    right = keys.get((mark.slot, mark.part), "")
    case = _of_mark(CaseKind.ANSWER, results, one, mark)
    of_picture = mark.detail.get("told") == [fact("cell.empty_picture").to_record()]
    return replace(case, right=right, why=recorded_reason(mark.detail), more=tuple(more), of_picture=of_picture)


def _failure(results: SetResults, one: StudentResult, mark: PartMark) -> Case:
    kind = CaseKind.FAILURE if results.scores_cut(one) else CaseKind.FAILURE_BELOW
    return replace(_of_mark(kind, results, one, mark), why=recorded_message(mark.detail))


def _of_mark(kind: CaseKind, results: SetResults, one: StudentResult, mark: PartMark) -> Case:
    """A case about one answer, by the problem that the student had at this attempt."""
    slot = next(slot for slot in results.sealed.slots if slot.number == mark.slot)
    slot = slot.of_attempt(one.pseudonym, one.attempt)
    return Case(
        kind,
        one.student.id,
        one.student.name,
        mark.slot,
        mark.part,
        slot.place(mark.part),
        asks=slot.words(mark.part) if len(slot.points) > 1 else "",
        typed=mark.typed,
        most=mark.points,
    )


def _times(results: SetResults, where: ClassFolder, rulings: tuple[Ruling, ...]) -> Iterator[Case]:
    """Each hand-in of which it isn't known whether it is late."""
    zone = zone_of(results.sealed)
    for one in results.marked:
        receipts = read_receipts(where.submitted(results.sealed.name, one.student.id).parent)
        receipt = receipts.get(one.submission)
        if receipt is None or not is_open(results.sealed, one.due.time, receipt):
            continue
        if settled_by(rulings, one.pseudonym, one.submission, receipt.collected) is None:
            when = time_in_words(receipt.time, zone)
            who = fact("report.who", name=one.student.name, id=one.student.id)
            why = fact("waiting.time_not_after", who=who, time=when)
            if not receipt.doubt:
                why = fact("waiting.time_said_late", who=who, time=when)
            yield Case(CaseKind.TIME, one.student.id, one.student.name, why=why, time=when)
