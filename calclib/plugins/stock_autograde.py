"""nbgrader's own `autograde` on our sets: the same rows as `calclib mark` writes, and no notebook is run.

The configuration of a class folder names what is here (`config_file.py`). An exporter, not a preprocessor, since
nbgrader would read the notebook before any preprocessor sees it: one that it can't read would keep its old score.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

from nbconvert.exporters import Exporter
from nbgrader.converters.base import NbGraderException
from sqlalchemy import Connection
from traitlets import default

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.errors import CalclibError
from calclib.gradebook.grade_rows import CellGrade, undo_zeros
from calclib.gradebook.opening import gradebook_transaction
from calclib.judging_papers.mark_set import mark
from calclib.records.part_marks import marks_of
from calclib.records.people import pseudonyms
from calclib.records.set_aside_facts import for_faculty
from calclib.wording import said


class SealedExporter(Exporter):
    """Marks the notebook that nbgrader is about to read, and gives it the one that the formgrader shows."""

    output_mimetype = "application/json"

    @default("file_extension")
    def _file_extension_default(self) -> str:
        return ".ipynb"

    # Like nbconvert's own exporter of notebooks it returns text, whatever the base class says.
    def from_filename(self, filename: str, resources: Any = None, **_kw: Any) -> tuple[str, Any]:  # type: ignore[override]
        """Mark one student's submission of a set.

        nbgrader calls it twice: with what was handed in, and then with the notebook that came of it.

        Raises:
            NbGraderException: there is nothing to mark, with the reason.
        """
        about = resources["nbgrader"]
        course: Any = self.parent.coursedir if self.parent else None
        where = class_folder(Path(course.root), db_url=about["db_url"])
        student, name = about["student"], about["assignment"]
        shown = where.path / course.autograded_directory / student / name / f"{name}.ipynb"
        if Path(filename) != shown:
            self._mark(where, student, name)
        output = where.autograded(name, student).read_text(encoding="utf-8")
        whole: Any = self._init_resources(resources)  # type: ignore[no-untyped-call]
        return output, whole

    def _mark(self, where: ClassFolder, student: str, name: str) -> None:
        try:
            found = mark(where.path, name, now=dt.datetime.now(dt.UTC), only={student}, db_url=where.gradebook_url)
        except CalclibError as error:
            raise NbGraderException(str(error)) from None
        for note in found.notes:
            self.log.warning(note)
        for _, reason in found.aside:
            self.log.warning(said("marking.set_aside", who=student, why=for_faculty(reason)))
        if not found.marked:
            with gradebook_transaction(where) as connection:
                undo_zeros(connection, name, student, _recorded(connection, name, student))
            raise NbGraderException(
                f"Nothing of {student} was marked: the student is not on the roster, was given no notebook of this "
                f"set, or handed in several notebooks and none named {name}.ipynb."
            )


def _recorded(connection: Connection, name: str, student: str) -> dict[str, CellGrade]:
    marks = marks_of(connection, name).get(pseudonyms(connection).get(student, ""), ())
    return {one.check_cell: CellGrade(float(one.earned), one.needs_person) for one in marks}


def expect_notebook(*, notebooks: list[str], assignment: str, student: str) -> None:
    """Make nbgrader go on where the notebook has another name than the set: marking tells what to do with it.

    Args:
        notebooks: Paths of the notebooks of one submission; changed in place.
        assignment: The set.
        student: The student, or a pattern.
    """
    expected = f"{assignment}.ipynb"
    if notebooks and all(Path(path).name != expected for path in notebooks):
        notebooks[:] = [str(Path(notebooks[0]).with_name(expected))]
