"""Who gains and who loses where marks change that were given before, or that a ruling gives to another notebook."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from calclib.class_files.roster import Student
from calclib.gradebook.grade_rows import Totals
from calclib.judging_papers.change_causes import ChangeCause
from calclib.records.part_marks import Fails, PartMark
from calclib.records.sealed_slots import Slot


@dataclass(frozen=True)
class AnswerChange:
    """What marking again made of one answer: points and verdict, and whether it fails the whole set, before and after.

    It may also wait for a person to confirm that it does. What fails the whole set is an error by the marking policy,
    unless a person gave points for the answer.

    Attributes:
        slot: The problem.
        part: Name of its part.
        place: Where it stands, as the notebook prints it: "3b".
        words: What it asks, as a noun phrase.
        before: Points before.
        after: Points after.
        verdict_before: The verdict before, "" where it wasn't marked.
        verdict_after: The verdict after.
        failed_before: Whether its error failed the whole set before.
        failed_after: Whether its error fails the whole set.
        waited_before: Whether it would have, once confirmed.
        waits_after: Whether it would, once confirmed.
    """

    slot: int
    part: str
    place: str
    words: str
    before: Fraction
    after: Fraction
    verdict_before: str
    verdict_after: str
    failed_before: bool = False
    failed_after: bool = False
    waited_before: bool = False
    waits_after: bool = False


@dataclass(frozen=True)
class Change:
    """A student whose marks change, and by what.

    Attributes:
        student: The student.
        before: Points before, what was lost for being late taken off.
        after: Points after.
        answers: The answers whose marks change.
        before_of: Points of the whole set before.
        after_of: Points of the whole set after: less where a question was declared void.
        failed_before: Whether an error failed the whole set before.
        failed_after: Whether an error fails the whole set after.
        cut: The cut score [%].
        waited_before: Whether an error would have failed the set before, once confirmed.
        waits_after: Whether an error would fail it after, once confirmed.
        cut_before: The cut score before, None where it is the same.
        causes: What the change comes from.
    """

    student: Student
    before: Fraction
    after: Fraction
    answers: tuple[AnswerChange, ...]
    before_of: Fraction
    after_of: Fraction
    failed_before: bool
    failed_after: bool
    cut: Fraction
    waited_before: bool = False
    waits_after: bool = False
    cut_before: Fraction | None = None
    causes: tuple[ChangeCause, ...] = ()

    @property
    def gain(self) -> Fraction:
        """By how much the share of the points grows; below 0 for a loss."""
        return _share(self.after, self.after_of) - _share(self.before, self.before_of)

    @property
    def reached_before(self) -> bool:
        """Whether the set was passed before: the cut score reached, and no error that failed it or might."""
        cut = self.cut if self.cut_before is None else self.cut_before
        return 100 * _share(self.before, self.before_of) >= cut and not (self.failed_before or self.waited_before)

    @property
    def reached_after(self) -> bool:
        """Whether the set is passed after: the cut score reached, and no error that fails it or may."""
        return 100 * _share(self.after, self.after_of) >= self.cut and not (self.failed_after or self.waits_after)

    @property
    def result_changes(self) -> bool:
        """Whether the student comes to fail the set or reach the cut score where that wasn't so, or the other way."""
        was = self.failed_before, self.waited_before, self.reached_before
        return was != (self.failed_after, self.waits_after, self.reached_after)


@dataclass(frozen=True)
class Resubmitted:
    """A student whose marks change because another notebook came in after marks were given.

    Attributes:
        change: What changes.
        attempt: Number of the attempt that counts now, where another counted before; else 0.
        time: When the notebook was handed in, None if that isn't known.
        feedback: When feedback was last written that prints the answers to this attempt, None if there is none.
    """

    change: Change
    attempt: int
    time: dt.datetime | None
    feedback: dt.datetime | None


def change_of(
    student: Student,
    rows: Sequence[Mapping[str, Any]],
    marks: Sequence[PartMark],
    slots: Iterable[Slot],
    totals: Totals,
    points: tuple[Fraction, Fraction],
    cut: Fraction,
    cut_before: Fraction | None = None,
) -> Change | None:
    """Return what changes for a student, None for nothing.

    Args:
        student: The student.
        rows: The rows of the marks that counted before; none if there were none.
        marks: The marks that count now.
        slots: The places of the set.
        totals: The student's score in the gradebook before and after.
        points: Points of the whole set before and after.
        cut: The cut score [%].
        cut_before: The cut score before, None where it is the same or isn't known.
    """
    old = {(row["slot"], row["part"]): row for row in rows}
    by_number = {slot.number: slot for slot in slots}
    each = (_answer(by_number[mark.slot], mark, old.get((mark.slot, mark.part)), totals.by_hand) for mark in marks)
    answers = tuple(found for found in each if found is not None)
    before, after = (Fraction(total or 0).limit_denominator(10_000) for total in (totals.before, totals.after))
    failed_before = any(fails_set(row["fails"], row["check_cell"], totals.by_hand) for row in rows)
    failed_after = any(fails_set(mark.fails, mark.check_cell, totals.by_hand) for mark in marks)
    waited_before = any(fails_set(row["fails"], row["check_cell"], totals.by_hand, waits=True) for row in rows)
    waits_after = any(fails_set(mark.fails, mark.check_cell, totals.by_hand, waits=True) for mark in marks)
    was, becomes = (before, points[0], failed_before, waited_before), (after, points[1], failed_after, waits_after)
    waits = waited_before, waits_after
    change = Change(student, before, after, answers, *points, failed_before, failed_after, cut, *waits, cut_before)
    same = was == becomes and not answers and change.reached_before == change.reached_after
    return None if same else change


def fails_set(fails: str, check_cell: str, by_hand: Collection[str], *, waits: bool = False) -> bool:
    """Return whether an answer fails the whole set: by its error, unless a person gave its points in the gradebook.

    Args:
        fails: What its error fails.
        check_cell: The id of its check cell.
        by_hand: The check cells of which a person gave the points.
        waits: Ask whether it would, once a person has confirmed it.
    """
    return fails == (Fails.EXAM_WAITS if waits else Fails.EXAM) and check_cell not in by_hand


def last_written(page: Path) -> dt.datetime | None:
    """Return when a page was last written, None if there is none."""
    try:
        return dt.datetime.fromtimestamp(page.stat().st_mtime, dt.UTC)
    except (OSError, ValueError, OverflowError):
        return None


def _answer(slot: Slot, mark: PartMark, row: Mapping[str, Any] | None, by_hand: Collection[str]) -> AnswerChange | None:
    after = _failing(mark.fails, mark.check_cell, by_hand)
    if row is None:
        earned, verdict, waited, before = Fraction(0), "", False, (False, False)
    else:
        earned = Fraction(row["score"]) * Fraction(row["points"])
        verdict, waited = row["verdict"], row["needs_person"]
        before = _failing(row["fails"], row["check_cell"], by_hand)
    if (earned, waited, before) == (mark.earned, mark.needs_person, after):
        return None
    failing = (before[0], after[0], before[1], after[1])
    where = (slot.number, mark.part, slot.place(mark.part), slot.words(mark.part))
    return AnswerChange(*where, earned, mark.earned, verdict, mark.verdict, *failing)


def _failing(fails: str, check_cell: str, by_hand: Collection[str]) -> tuple[bool, bool]:
    """Whether an answer fails the whole set, and whether it would once confirmed."""
    return fails_set(fails, check_cell, by_hand), fails_set(fails, check_cell, by_hand, waits=True)


def _share(points: Fraction, of: Fraction) -> Fraction:
    return points / of if of else Fraction(0)
