"""The template of a set: nbgrader's own rows for it, and the source notebook from which they come."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, delete, insert, select, update

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.text_files import replace_file
from calclib.errors import CalclibError
from calclib.gradebook.notebook import KERNEL, Problem, notebook_bytes, render_notebook
from calclib.records.sealed import SealedSet
from calclib.wording.facts import fact


def write_template(
    connection: Connection, where: ClassFolder, sealed: SealedSet, problems: tuple[Problem, ...], costs: str
) -> None:
    """Put the template into nbgrader's gradebook, with the same ids as the students' copies, and into `solutions/`."""
    notebook = render_notebook(set_name=sealed.name, title=sealed.title, problems=problems, costs=costs)
    assignment = _assignment(connection, where, sealed.name, sealed.due)
    _notebook(connection, assignment, sealed.name, notebook)
    replace_file(where.template(sealed.name), notebook_bytes(notebook))


def change_due(connection: Connection, name: str, due: dt.datetime | None) -> None:
    """Write the due time of a set into nbgrader's gradebook."""
    from nbgrader.api import Assignment

    table = Assignment.__table__
    connection.execute(update(table).where(table.c.name == name).values(duedate=_utc(due)))


def has_submissions(connection: Connection, name: str) -> bool:
    """Return whether the gradebook knows of anything that was handed in of a set."""
    from nbgrader.api import Assignment, SubmittedAssignment

    of, handed_in = Assignment.__table__, SubmittedAssignment.__table__
    wanted = select(handed_in.c.id).join(of, of.c.id == handed_in.c.assignment_id).where(of.c.name == name)
    return connection.execute(wanted.limit(1)).first() is not None


def delete_template(connection: Connection, name: str) -> None:
    """Delete the rows of a set of which nothing was handed in."""
    from nbgrader.api import Assignment, BaseCell, GradeCell, Notebook, SolutionCell, SourceCell, TaskCell

    of, notebooks, cells, sources = (kind.__table__ for kind in (Assignment, Notebook, BaseCell, SourceCell))
    assignments = select(of.c.id).where(of.c.name == name)
    inner = select(notebooks.c.id).where(notebooks.c.assignment_id.in_(assignments))
    mine = select(cells.c.id).where(cells.c.notebook_id.in_(inner))
    for kind in (GradeCell, SolutionCell, TaskCell):
        connection.execute(delete(kind.__table__).where(kind.__table__.c.id.in_(mine)))
    for table in (cells, sources):
        connection.execute(delete(table).where(table.c.notebook_id.in_(inner)))
    connection.execute(delete(notebooks).where(notebooks.c.assignment_id.in_(assignments)))
    connection.execute(delete(of).where(of.c.name == name))


def _assignment(connection: Connection, where: ClassFolder, name: str, due: dt.datetime | None) -> str:
    from nbgrader.api import Assignment

    table = Assignment.__table__
    row = connection.execute(select(table.c.id).where(table.c.name == name)).first()
    if row is not None:
        change_due(connection, name, due)
        return str(row.id)
    key = uuid4().hex
    connection.execute(insert(table).values(id=key, name=name, duedate=_utc(due), course_id=where.course))
    return key


def _utc(due: dt.datetime | None) -> dt.datetime | None:
    # nbgrader keeps times in UTC without saying so.
    return due.astimezone(dt.UTC).replace(tzinfo=None) if due else None


def _notebook(connection: Connection, assignment: str, name: str, notebook: dict[str, Any]) -> None:
    from nbgrader.api import BaseCell, GradeCell, Notebook, SolutionCell, SourceCell

    table = Notebook.__table__
    cells = [cell for cell in notebook["cells"] if "nbgrader" in cell["metadata"]]
    row = connection.execute(select(table.c.id).where(table.c.assignment_id == assignment)).first()
    if row is not None:
        _refuse_other_cells(connection, str(row.id), name, cells)
        return
    key = uuid4().hex
    kernel = json.dumps(KERNEL)
    connection.execute(insert(table).values(id=key, name=name, assignment_id=assignment, kernelspec=kernel))
    for cell in cells:
        meta = cell["metadata"]["nbgrader"]
        if meta["grade"] or meta["solution"]:
            cell_id = uuid4().hex
            kind = "GradeCell" if meta["grade"] else "SolutionCell"
            base = {"id": cell_id, "name": meta["grade_id"], "notebook_id": key, "type": kind}
            connection.execute(insert(BaseCell.__table__).values(**base))
            if meta["grade"]:
                worth = {"max_score": float(meta["points"]), "cell_type": cell["cell_type"]}
                connection.execute(insert(GradeCell.__table__).values(id=cell_id, **worth))
            else:
                connection.execute(insert(SolutionCell.__table__).values(id=cell_id))
        connection.execute(
            insert(SourceCell.__table__).values(
                id=uuid4().hex,
                name=meta["grade_id"],
                cell_type=cell["cell_type"],
                locked=meta["locked"],
                source=cell["source"],
                checksum=meta["checksum"],
                notebook_id=key,
            )
        )


def _refuse_other_cells(connection: Connection, notebook: str, name: str, cells: list[dict[str, Any]]) -> None:
    from nbgrader.api import SourceCell

    table = SourceCell.__table__
    known = set(connection.execute(select(table.c.name).where(table.c.notebook_id == notebook)).scalars())
    if known != {cell["metadata"]["nbgrader"]["grade_id"] for cell in cells}:
        raise CalclibError(fact("errors_gradebook.another_assignment", name=name))
