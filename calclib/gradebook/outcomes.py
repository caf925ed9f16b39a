"""What each student did with each problem, as it stands after everything that a person changed: for statistics."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection

from calclib.analysis.problems import Problem, Settled, problems_of
from calclib.gradebook.results import PartResult, SetResults, StudentResult
from calclib.records.part_marks import marks_of_attempt


def student_problems(results: SetResults, one: StudentResult) -> tuple[Problem, ...]:
    """Return what a student did with each problem in the attempt that counts; none where nothing was judged.

    Problems that everyone was credited with, or that count for nobody, are left out.

    Args:
        results: The results of the set.
        one: The student's.
    """
    if one.aside or not one.parts:
        return ()
    settled = {(part.mark.slot, part.mark.part): _settled(part) for part in one.parts}
    marks = (part.mark for part in one.parts)
    return problems_of(results.sealed.slots, marks, settled=settled, left_out=results.left_out)


def _settled(part: PartResult) -> Settled:
    right = part.mark.right if part.manual is None else part.manual >= part.mark.points
    return Settled(part.earned, right, part.open)


def first_attempt_problems(connection: Connection, results: SetResults) -> Mapping[str, tuple[Problem, ...]]:
    """Return what each student did in the first attempt, by the student's id: further ones have met the problems.

    Points that a person gave in the gradebook belong to the attempt that counts, so that a first attempt that doesn't
    count stands as it was marked.

    Args:
        connection: The class's database.
        results: The results of the set.
    """
    found = {one.student.id: student_problems(results, one) for one in results.judged if one.attempt == 1}
    later = {one.pseudonym: one.student.id for one in results.marked if one.attempt != 1}
    if later:
        for pseudonym, marks in marks_of_attempt(connection, results.sealed.name, 1).items():
            if pseudonym in later and not any(mark.verdict == "set_aside" for mark in marks):
                problems = problems_of(results.sealed.slots, marks, left_out=results.left_out)
                found[later[pseudonym]] = problems
    return {student: problems for student, problems in found.items() if problems}
