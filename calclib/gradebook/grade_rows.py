"""nbgrader's own rows for submissions and grades, as `nbgrader autograde` writes them, within our transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from secrets import token_hex
from typing import Any, NamedTuple

from sqlalchemy import Connection, Table, and_, bindparam, delete, insert, or_, select, update

from calclib.errors import CalclibError
from calclib.wording.facts import fact

NO_RESPONSE = "No response."


class CellGrade(NamedTuple):
    """The automatic score of one check cell, and whether a person has to look."""

    points: float
    needs_person: bool


_UNKNOWN = CellGrade(0.0, needs_person=True)


@dataclass(frozen=True)
class Submission:
    """One student's submission as it goes into the gradebook.

    Attributes:
        student: The student's id.
        time: When the notebook was handed in, None if that isn't known.
        grades: The grade of each check cell, by its id.
        no_response: Ids of answer cells in which nothing was typed.
        penalty_share: Share of the score that a late submission costs, 0 to 1.
        forgets_time: Whether a time that the gradebook holds no longer counts.
    """

    student: str
    time: dt.datetime | None
    grades: Mapping[str, CellGrade]
    no_response: frozenset[str]
    penalty_share: float
    forgets_time: bool = False


@dataclass(frozen=True)
class Totals:
    """A student's score in the gradebook before and after, the penalty taken off.

    Attributes:
        before: The score before, None where there was none.
        after: The score after.
        by_hand: The check cells of which a person gave the points.
    """

    before: float | None
    after: float
    by_hand: frozenset[str] = frozenset()


class GradeRows:
    """Writes the grades of one set.

    Args:
        connection: A connection in a transaction.
        set_name: The set; its template must be in the gradebook.

    Raises:
        CalclibError: the gradebook has no template of the set.
    """

    def __init__(self, connection: Connection, set_name: str) -> None:
        from nbgrader.api import (
            Assignment,
            BaseCell,
            Comment,
            Grade,
            GradeCell,
            Notebook,
            SubmittedAssignment,
            SubmittedNotebook,
        )

        self._connection = connection
        self._ids = _new_ids()
        self._submissions: Table = SubmittedAssignment.__table__
        self._notebooks: Table = SubmittedNotebook.__table__
        self._grades: Table = Grade.__table__
        self._comments: Table = Comment.__table__
        self._worth: Table = GradeCell.__table__
        row = connection.execute(
            select(Assignment.__table__.c.id, Notebook.__table__.c.id.label("notebook"))
            .join(Notebook.__table__, Notebook.__table__.c.assignment_id == Assignment.__table__.c.id)
            .where(Assignment.__table__.c.name == set_name, Notebook.__table__.c.name == set_name)
        ).first()
        if row is None:
            raise CalclibError(fact("errors_gradebook.no_assignment", name=set_name))
        self._assignment, self._notebook = row.id, row.notebook
        cells = BaseCell.__table__
        kinds = connection.execute(select(cells).where(cells.c.notebook_id == self._notebook)).all()
        self._grade_cells = {cell.name: cell.id for cell in kinds if cell.type == "GradeCell"}
        self._solution_cells = {cell.name: cell.id for cell in kinds if cell.type == "SolutionCell"}

    def set_points(self, points: Mapping[str, float]) -> float:
        """Write what each check cell is worth now, where that has changed, and return what all were worth before."""
        before = 0.0
        table = self._worth
        names = {cell: name for name, cell in self._grade_cells.items()}
        for row in self._connection.execute(select(table.c.id, table.c.max_score).where(table.c.id.in_(names))):
            before += row.max_score
            worth = points.get(names[row.id])
            if worth is not None and row.max_score != worth:
                self._connection.execute(update(table).where(table.c.id == row.id).values(max_score=worth))
        return before

    def write(self, submissions: Sequence[Submission]) -> dict[str, Totals]:
        """Write the grades of some students; every check cell of the template gets an explicit score.

        A manual score and its comment stay, and are flagged for another look as nbgrader does.

        Returns:
            The total of each student before and after, by id.
        """
        notebooks = self._submitted_notebooks(submissions)
        keys = [notebook.id for notebook in notebooks.values()]
        grades, comments = (self._rows(table, keys) for table in (self._grades, self._comments))
        edits = _Edits()
        totals: dict[str, Totals] = {}
        for one in submissions:
            notebook = notebooks[one.student]
            before, score = self._grade(one, notebook.id, grades.get(notebook.id, {}), edits)
            self._comment(one, notebook.id, comments.get(notebook.id, {}), edits)
            penalty = score * one.penalty_share if one.penalty_share else None
            if penalty != notebook.penalty:
                edits.penalties.append({"of": notebook.id, "penalty": penalty})
            known = grades.get(notebook.id)
            totals[one.student] = Totals(
                before=None if known is None else before - (notebook.penalty or 0.0),
                after=score - (penalty or 0.0),
                by_hand=self._by_hand(known or {}),
            )
        self._make(edits)
        return totals

    def _by_hand(self, rows: Mapping[str, Any]) -> frozenset[str]:
        cells = {cell for cell, row in rows.items() if row.manual_score is not None}
        return frozenset(name for name, cell in self._grade_cells.items() if cell in cells) if cells else frozenset()

    def write_scores(self, notebook: str, grades: Mapping[str, CellGrade]) -> None:
        """Write the score of each check cell of one submitted notebook, and nothing else."""
        edits = _Edits()
        one = Submission("", None, grades, frozenset(), 0.0)
        self._grade(one, notebook, self._rows(self._grades, [notebook]).get(notebook, {}), edits)
        self._make(edits)

    def _submitted_notebooks(self, submissions: Sequence[Submission]) -> dict[str, _Notebook]:
        connection, table, inner = self._connection, self._submissions, self._notebooks
        students = [one.student for one in submissions]
        within = and_(inner.c.assignment_id == table.c.id, inner.c.notebook_id == self._notebook)
        wanted = (table.c.id, table.c.student_id, table.c.timestamp, inner.c.id.label("notebook"))
        rows = connection.execute(
            select(*wanted, inner.c.late_submission_penalty)
            .select_from(table.outerjoin(inner, within))
            .where(table.c.assignment_id == self._assignment, table.c.student_id.in_(students))
        )
        known = {row.student_id: row for row in rows}
        found: dict[str, _Notebook] = {}
        fresh: list[dict[str, Any]] = []
        inside: list[dict[str, Any]] = []
        times: list[dict[str, Any]] = []
        for one in submissions:
            naive = one.time.astimezone(dt.UTC).replace(tzinfo=None) if one.time else None
            row = known.get(one.student)
            key = next(self._ids) if row is None else str(row.id)
            if row is None:
                values = {"assignment_id": self._assignment, "student_id": one.student, "timestamp": naive}
                fresh.append({"id": key, **values})
            elif (naive is not None or one.forgets_time) and row.timestamp != naive:
                times.append({"of": key, "time": naive})
            if row is None or row.notebook is None:
                found[one.student] = _Notebook(next(self._ids), None)
                values = {"assignment_id": key, "notebook_id": self._notebook, "flagged": False}
                inside.append({"id": found[one.student].id, **values})
            else:
                found[one.student] = _Notebook(str(row.notebook), row.late_submission_penalty)
        if fresh:
            connection.execute(insert(table), fresh)
        if inside:
            connection.execute(insert(inner), inside)
        if times:
            connection.execute(
                update(table).where(table.c.id == bindparam("of")).values(timestamp=bindparam("time")), times
            )
        return found

    def _grade(self, one: Submission, notebook: str, rows: Mapping[str, Any], edits: _Edits) -> tuple[float, float]:
        """Note the edits of one notebook's grades, and return its score before and after."""
        before = total = 0.0
        for name, cell in self._grade_cells.items():
            # A check cell of which the marking knows nothing scores nothing.
            grade = one.grades.get(name, _UNKNOWN)
            row = rows.get(cell)
            if row is None:
                values = {"auto_score": grade.points, "needs_manual_grade": grade.needs_person}
                edits.grades.append({"id": next(self._ids), "notebook_id": notebook, "cell_id": cell, **values})
                total += grade.points
                continue
            by_hand = row.manual_score is not None
            extra = row.extra_credit or 0.0
            total += (row.manual_score if by_hand else grade.points) + extra
            before += (row.manual_score if by_hand else row.auto_score or 0.0) + extra
            flag = by_hand or grade.needs_person
            if (row.auto_score, row.needs_manual_grade) != (grade.points, flag):
                edits.scores.append({"of": row.id, "score": grade.points, "flag": flag})
        return before, total

    def _comment(self, one: Submission, notebook: str, rows: Mapping[str, Any], edits: _Edits) -> None:
        for name, cell in self._solution_cells.items():
            comment = NO_RESPONSE if name in one.no_response else None
            row = rows.get(cell)
            if row is None:
                values = {"notebook_id": notebook, "cell_id": cell, "auto_comment": comment}
                edits.comments.append({"id": next(self._ids), **values})
            elif row.auto_comment != comment:
                edits.words.append({"of": row.id, "words": comment})

    def _make(self, edits: _Edits) -> None:
        """Carry the edits out, each kind in one statement."""
        for table, rows in ((self._grades, edits.grades), (self._comments, edits.comments)):
            if rows:
                self._connection.execute(insert(table), rows)
        changes: tuple[tuple[Table, dict[str, str], list[dict[str, Any]]], ...] = (
            (self._grades, {"auto_score": "score", "needs_manual_grade": "flag"}, edits.scores),
            (self._comments, {"auto_comment": "words"}, edits.words),
            (self._notebooks, {"late_submission_penalty": "penalty"}, edits.penalties),
        )
        for table, columns, rows in changes:
            if rows:
                values: dict[str, Any] = {column: bindparam(name) for column, name in columns.items()}
                self._connection.execute(update(table).where(table.c.id == bindparam("of")).values(**values), rows)

    def _rows(self, table: Table, notebooks: Sequence[str]) -> dict[str, dict[str, Any]]:
        """Return the rows of a table by notebook and cell."""
        found: dict[str, dict[str, Any]] = {}
        for row in self._connection.execute(select(table).where(table.c.notebook_id.in_(notebooks))):
            found.setdefault(row.notebook_id, {})[row.cell_id] = row
        return found


def _new_ids() -> Iterator[str]:
    """Ids of 32 digits as nbgrader's own, as good as random; those of one run are neighbors, for the index."""
    ours = token_hex(10)
    return (f"{ours}{number:012x}" for number in count())


@dataclass(frozen=True)
class _Notebook:
    id: str
    penalty: float | None


@dataclass
class _Edits:
    """What is to be written, gathered so that many rows go into one statement."""

    grades: list[dict[str, Any]] = field(default_factory=list)
    comments: list[dict[str, Any]] = field(default_factory=list)
    scores: list[dict[str, Any]] = field(default_factory=list)
    words: list[dict[str, Any]] = field(default_factory=list)
    penalties: list[dict[str, Any]] = field(default_factory=list)


def undo_zeros(connection: Connection, set_name: str, student: str, recorded: Mapping[str, CellGrade]) -> None:
    """Take back what nbgrader writes for a submission before it looks at it, where then nothing of it was marked.

    Args:
        connection: A connection in a transaction.
        set_name: The set.
        student: The student's id.
        recorded: The grades of an earlier marking, by check cell; where there are none the submission is removed,
            unless a person gave points.
    """
    from nbgrader.api import Assignment, Comment, Grade, SubmittedAssignment, SubmittedNotebook

    submissions, notebooks, assignments = (m.__table__ for m in (SubmittedAssignment, SubmittedNotebook, Assignment))
    grades, comments = Grade.__table__, Comment.__table__
    key = connection.execute(
        select(submissions.c.id)
        .join(assignments, assignments.c.id == submissions.c.assignment_id)
        .where(assignments.c.name == set_name, submissions.c.student_id == student)
    ).scalar()
    inner = select(notebooks.c.id).where(notebooks.c.assignment_id == key)
    if recorded:
        for row in connection.execute(inner).all():
            GradeRows(connection, set_name).write_scores(row.id, recorded)
        return
    by_hand = or_(grades.c.manual_score.is_not(None), grades.c.extra_credit.is_not(None))
    if key is None or connection.execute(select(grades.c.id).where(grades.c.notebook_id.in_(inner), by_hand)).first():
        return
    for table in (grades, comments):
        connection.execute(delete(table).where(table.c.notebook_id.in_(inner)))
    connection.execute(delete(notebooks).where(notebooks.c.assignment_id == key))
    connection.execute(delete(submissions).where(submissions.c.id == key))
