"""Attempts that are marked beside others of the same student: which are new, what they came to, which one counts."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from calclib.class_files.roster import Student
from calclib.judging_papers.changes import Change
from calclib.judging_papers.judged_attempt import Attempt
from calclib.records.part_marks import Fails


@dataclass(frozen=True)
class FurtherAttempt:
    """An attempt of which another notebook than before is marked, beside other attempts of the student.

    Attributes:
        student: The student.
        attempt: Its number.
        counts: Number of the attempt that counts.
        again: Whether another notebook of it was marked before.
        points: Points of the attempt, what was lost for being late taken off.
        of: Points of the whole set.
        fails: What its worst error fails.
        change: What changes of the student's result, None where nothing does or nothing was marked before.
    """

    student: Student
    attempt: int
    counts: int
    again: bool
    points: Fraction
    of: Fraction
    fails: Fails
    change: Change | None = None


def further_attempts(
    student: Student, attempts: Iterable[Attempt], known: Container[int], counts: int, of: Fraction
) -> Iterator[FurtherAttempt]:
    """Yield what is told of some attempts of a student who has several.

    Args:
        student: The student.
        attempts: The attempts of which another notebook than before is marked.
        known: Numbers of the attempts that were marked before.
        counts: Number of the attempt that counts.
        of: Points of the whole set.
    """
    for one in attempts:
        fails = {mark.fails for mark in one.judged.marks}
        worst = next((fail for fail in (Fails.EXAM, Fails.EXAM_WAITS) if fail in fails), Fails.NOTHING)
        number = one.handed.paper.attempt
        yield FurtherAttempt(student, number, counts, number in known, one.earned, of, worst)
