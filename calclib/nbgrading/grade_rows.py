"""nbgrader's own rows for submissions and grades, as `nbgrader autograde` writes them, within our transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, Table, insert, select, update

from calclib.errors import CalclibError

NO_RESPONSE = "No response."


@dataclass(frozen=True)
class CellGrade:
    """The automatic score of one check cell, and whether a person has to look."""

    points: float
    needs_person: bool


class GradeRows:
    """Writes the grades of one set.

    Args:
        connection: A connection in a transaction.
        set_name: The set; its template must be in the gradebook.

    Raises:
        CalclibError: the gradebook has no template of the set.
    """

    def __init__(self, connection: Connection, set_name: str) -> None:
        from nbgrader.api import Assignment, BaseCell, Comment, Grade, Notebook, SubmittedAssignment, SubmittedNotebook

        self._connection = connection
        self._submissions: Table = SubmittedAssignment.__table__
        self._notebooks: Table = SubmittedNotebook.__table__
        self._grades: Table = Grade.__table__
        self._comments: Table = Comment.__table__
        row = connection.execute(
            select(Assignment.__table__.c.id, Notebook.__table__.c.id.label("notebook"))
            .join(Notebook.__table__, Notebook.__table__.c.assignment_id == Assignment.__table__.c.id)
            .where(Assignment.__table__.c.name == set_name, Notebook.__table__.c.name == set_name)
        ).first()
        if row is None:
            raise CalclibError(f"The gradebook has no assignment '{set_name}': hand the set out again.")
        self._assignment, self._notebook = row.id, row.notebook
        cells = BaseCell.__table__
        kinds = connection.execute(select(cells).where(cells.c.notebook_id == self._notebook)).all()
        self._grade_cells = {cell.name: cell.id for cell in kinds if cell.type == "GradeCell"}
        self._solution_cells = {cell.name: cell.id for cell in kinds if cell.type == "SolutionCell"}

    def write(
        self,
        student: str,
        *,
        time: dt.datetime | None,
        grades: Mapping[str, CellGrade],
        no_response: frozenset[str],
        penalty_share: float,
    ) -> None:
        """Write one student's grades; every check cell of the template gets an explicit score.

        A manual score and its comment stay, and are flagged for another look as nbgrader does.

        Args:
            student: The student's id.
            time: When the notebook was handed in, None if that isn't known.
            grades: The grade of each check cell, by its id.
            no_response: Ids of answer cells in which nothing was typed.
            penalty_share: Share of the score that a late submission costs, 0 to 1.
        """
        notebook = self._submitted_notebook(student, time)
        scores = self._write_grades(notebook, grades)
        self._write_comments(notebook, no_response)
        penalty = scores * penalty_share if penalty_share else None
        table = self._notebooks
        self._connection.execute(update(table).where(table.c.id == notebook).values(late_submission_penalty=penalty))

    def _submitted_notebook(self, student: str, time: dt.datetime | None) -> str:
        connection, submissions, notebooks = self._connection, self._submissions, self._notebooks
        naive = time.astimezone(dt.UTC).replace(tzinfo=None) if time else None
        row = connection.execute(
            select(submissions.c.id, submissions.c.timestamp).where(
                submissions.c.assignment_id == self._assignment, submissions.c.student_id == student
            )
        ).first()
        if row is None:
            key, notebook = uuid4().hex, uuid4().hex
            values = {"assignment_id": self._assignment, "student_id": student, "timestamp": naive}
            connection.execute(insert(submissions).values(id=key, **values))
            self._insert_notebook(key, notebook)
            return notebook
        if naive is not None and row.timestamp != naive:
            connection.execute(update(submissions).where(submissions.c.id == row.id).values(timestamp=naive))
        found = connection.execute(
            select(notebooks.c.id).where(notebooks.c.assignment_id == row.id, notebooks.c.notebook_id == self._notebook)
        ).scalar()
        if found is None:
            found = uuid4().hex
            self._insert_notebook(row.id, found)
        return str(found)

    def _insert_notebook(self, submission: str, key: str) -> None:
        values = {"id": key, "assignment_id": submission, "notebook_id": self._notebook, "flagged": False}
        self._connection.execute(insert(self._notebooks).values(**values))

    def _write_grades(self, notebook: str, grades: Mapping[str, CellGrade]) -> float:
        table = self._grades
        rows = {row.cell_id: row for row in self._rows(table, notebook)}
        fresh: list[dict[str, Any]] = []
        total = 0.0
        for name, cell in self._grade_cells.items():
            # A check cell of which the marking knows nothing scores nothing.
            grade = grades.get(name, CellGrade(0.0, needs_person=True))
            row = rows.get(cell)
            if row is None:
                values = {"auto_score": grade.points, "needs_manual_grade": grade.needs_person}
                fresh.append({"id": uuid4().hex, "notebook_id": notebook, "cell_id": cell, **values})
                total += grade.points
                continue
            by_hand = row.manual_score is not None
            total += (row.manual_score if by_hand else grade.points) + (row.extra_credit or 0.0)
            flag = by_hand or grade.needs_person
            if (row.auto_score, row.needs_manual_grade) != (grade.points, flag):
                values = {"auto_score": grade.points, "needs_manual_grade": flag}
                self._connection.execute(update(table).where(table.c.id == row.id).values(**values))
        if fresh:
            self._connection.execute(insert(table), fresh)
        return total

    def _write_comments(self, notebook: str, no_response: frozenset[str]) -> None:
        table = self._comments
        rows = {row.cell_id: row for row in self._rows(table, notebook)}
        fresh: list[dict[str, Any]] = []
        for name, cell in self._solution_cells.items():
            comment = NO_RESPONSE if name in no_response else None
            row = rows.get(cell)
            if row is None:
                fresh.append({"id": uuid4().hex, "notebook_id": notebook, "cell_id": cell, "auto_comment": comment})
            elif row.auto_comment != comment:
                self._connection.execute(update(table).where(table.c.id == row.id).values(auto_comment=comment))
        if fresh:
            self._connection.execute(insert(table), fresh)

    def _rows(self, table: Table, notebook: str) -> Any:
        return self._connection.execute(select(table).where(table.c.notebook_id == notebook))
