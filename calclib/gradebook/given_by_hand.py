"""What nbgrader's gradebook says beside the automatic scores: points, flags and comments by hand, times, penalties."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from sqlalchemy import Connection, column, select, table

from calclib.records.part_marks import clean

# Those columns of nbgrader's tables that are read here; it is not imported, since that takes seconds.
_ASSIGNMENT = table("assignment", column("id"), column("name"))
_SUBMISSION = table(
    "submitted_assignment", column("id"), column("assignment_id"), column("student_id"), column("timestamp")
)
_NOTEBOOK = table("submitted_notebook", column("id"), column("assignment_id"), column("late_submission_penalty"))
_CELL = table("base_cell", column("id"), column("name"))
_GRADE = table("grade", *map(column, ("notebook_id", "cell_id", "manual_score", "extra_credit", "needs_manual_grade")))
_COMMENT = table("comment", column("notebook_id"), column("cell_id"), column("manual_comment"))


@dataclass(frozen=True)
class GivenByHand:
    """What a person gave for one answer, or has to look at.

    Attributes:
        manual: Points in place of the automatic ones, None where there are none.
        extra: Points that were added.
        open: Whether a person still has to look, None where the gradebook has no row of the answer.
        comment: What the person wrote to the student.
    """

    manual: Fraction | None
    extra: Fraction
    open: bool | None
    comment: str


class HandScores:
    """Reads what was given by hand in one set.

    Args:
        connection: The class's database.
        set_name: The set.
    """

    def __init__(self, connection: Connection, set_name: str) -> None:
        notebooks = (
            _NOTEBOOK.join(_SUBMISSION, _SUBMISSION.c.id == _NOTEBOOK.c.assignment_id)
            .join(_ASSIGNMENT, _ASSIGNMENT.c.id == _SUBMISSION.c.assignment_id)
        )  # fmt: skip
        here = _ASSIGNMENT.c.name == set_name
        columns = (_SUBMISSION.c.student_id, _SUBMISSION.c.timestamp, _NOTEBOOK.c.late_submission_penalty)
        rows = connection.execute(select(*columns).select_from(notebooks).where(here))
        self._submissions = {row.student_id: row for row in rows}
        graded = notebooks.join(_GRADE, _GRADE.c.notebook_id == _NOTEBOOK.c.id).join(
            _CELL, _CELL.c.id == _GRADE.c.cell_id
        )
        wanted = (_SUBMISSION.c.student_id, _CELL.c.name, _GRADE.c.manual_score, _GRADE.c.extra_credit)
        rows = connection.execute(select(*wanted, _GRADE.c.needs_manual_grade).select_from(graded).where(here))
        self._grades = {(row.student_id, row.name): row for row in rows}
        said = notebooks.join(_COMMENT, _COMMENT.c.notebook_id == _NOTEBOOK.c.id).join(
            _CELL, _CELL.c.id == _COMMENT.c.cell_id
        )
        rows = connection.execute(
            select(_SUBMISSION.c.student_id, _CELL.c.name, _COMMENT.c.manual_comment)
            .select_from(said)
            .where(here, _COMMENT.c.manual_comment.is_not(None))
        )
        self._comments: Mapping[tuple[str, str], str] = {(r.student_id, r.name): clean(r.manual_comment) for r in rows}

    def of_answer(self, student: str, *, check_cell: str, answer_cell: str) -> GivenByHand:
        """Return what was given for one answer of a student, by the ids of its two cells."""
        row = self._grades.get((student, check_cell))
        comment = self._comments.get((student, answer_cell), "")
        if row is None:
            return GivenByHand(None, Fraction(0), None, comment)
        manual = None if row.manual_score is None else _exact(row.manual_score)
        extra = Fraction(0) if row.extra_credit is None else _exact(row.extra_credit)
        return GivenByHand(manual, extra, bool(row.needs_manual_grade), comment)

    def submission(self, student: str) -> tuple[Fraction, dt.datetime | None]:
        """Return the points that a student's submission lost for being late, and when it came in."""
        row = self._submissions.get(student)
        if row is None:
            return Fraction(0), None
        penalty = Fraction(0) if row.late_submission_penalty is None else _exact(row.late_submission_penalty)
        return penalty, _time(row.timestamp)


def _exact(points: float) -> Fraction:
    # A gradebook keeps points in floating point; what a person typed has few digits.
    return Fraction(points).limit_denominator(10_000)


def _time(stored: object) -> dt.datetime | None:
    if isinstance(stored, str):
        try:
            stored = dt.datetime.fromisoformat(stored)
        except ValueError:
            return None
    return stored.replace(tzinfo=dt.UTC) if isinstance(stored, dt.datetime) else None
