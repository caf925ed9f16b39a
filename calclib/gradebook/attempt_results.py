"""Every attempt of every student, not only the one that counts: its score, and whether it would pass."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, select

from calclib.class_files.roster import Student
from calclib.gradebook.results import SetResults, StudentResult
from calclib.gradebook.standing import Standing, standing_of
from calclib.quantity.writing import percent_text, points_text
from calclib.records.lateness import recorded_lates
from calclib.records.part_marks import Fails
from calclib.records.tables import MARK
from calclib.wording.facts import Fact, fact


@dataclass(frozen=True)
class AttemptResult:
    """One attempt of one student.

    Attributes:
        student: The student.
        attempt: Its number, from 1.
        earned: Points, what was lost for being late taken off.
        percent: The same in percent of the points of the set.
        standing: What decides whether it passes.
        counts: Whether it is the attempt that counts.
        penalty: Points that it lost for being late.
    """

    student: Student
    attempt: int
    earned: Fraction
    percent: Fraction
    standing: Standing
    counts: bool
    penalty: Fraction = Fraction(0)


def attempt_results(connection: Connection, results: SetResults) -> Mapping[str, tuple[AttemptResult, ...]]:
    """Return the marked attempts of each student, by id in their order; none for those of whom nothing was marked.

    Points that a person gave in the gradebook are those of the attempt that counts.

    Args:
        connection: The class's database.
        results: The results of the set.
    """
    lates = recorded_lates(connection, results.sealed.name)
    known = {one.pseudonym: one for one in results.marked}
    wanted = select(
        MARK.c.pseudonym, MARK.c.attempt, MARK.c.score, MARK.c.points, MARK.c.fails, MARK.c.verdict, MARK.c.needs_person
    )
    found: dict[tuple[str, int], list[tuple[Fraction, str, bool]]] = {}
    for row in connection.execute(wanted.where(MARK.c.set_name == results.sealed.name)):
        aside = row.verdict == "set_aside" and row.needs_person
        mark = (Fraction(row.score) * Fraction(row.points), row.fails, aside)
        found.setdefault((row.pseudonym, row.attempt), []).append(mark)
    told: dict[str, list[AttemptResult]] = {}
    for (name, attempt), marks in sorted(found.items()):
        one = known.get(name)
        if one is None:
            continue
        counts = attempt == one.attempt
        late = lates.get((name, attempt), Fraction(0))
        result = _that_counts(results, one) if counts else _other(results, one.student, attempt, marks, late)
        told.setdefault(one.student.id, []).append(result)
    return {student: tuple(attempts) for student, attempts in told.items()}


def attempt_score(one: AttemptResult) -> Fact:
    """Return the score of an attempt with what was taken off for being late: "60%, 1.25 points off for being late"."""
    percent = percent_text(one.percent)
    if not one.penalty:
        return fact("attempt.score", percent=percent)
    return fact("attempt.late_score", percent=percent, penalty=points_text(one.penalty))


def _that_counts(results: SetResults, one: StudentResult) -> AttemptResult:
    standing = standing_of(results, one)
    about = (one.student, one.attempt, one.earned, results.percent(one), standing)
    return AttemptResult(*about, counts=True, penalty=one.penalty)


def _other(
    results: SetResults, student: Student, attempt: int, marks: Iterable[tuple[Fraction, str, bool]], late: Fraction
) -> AttemptResult:
    every = tuple(marks)
    points = sum((points for points, _, _ in every), Fraction(0))
    earned = points * (1 - late)
    percent = 100 * earned / results.sealed.points if results.sealed.points else Fraction(0)
    fails = {fails for _, fails, _ in every}
    if any(aside for _, _, aside in every):
        standing = Standing.UNDECIDED
    elif percent < results.sealed.cut_score:
        standing = Standing.BELOW
    elif Fails.EXAM in fails:
        standing = Standing.FAILED
    else:
        standing = Standing.FAILURE_WAITS if Fails.EXAM_WAITS in fails else Standing.PASSES
    return AttemptResult(student, attempt, earned, percent, standing, counts=False, penalty=points * late)
