"""Everything that is kept on one student, as a zip to be given to the student on request."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.names import visible
from calclib.class_files.roster import Roster, read_roster, roster_to_text
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.records.about_student import rows_about
from calclib.records.database import reading
from calclib.records.people import pseudonym_of
from calclib.releasing.erasing.erase import FOLDERS, finish_erasure
from calclib.wording import fact, said

# The same files give the same zip, whenever it is made.
_TIME = (2000, 1, 1, 0, 0, 0)


def write_student_record(folder: Path, student: str, target: Path) -> tuple[str, ...]:
    """Write a zip of all files and rows of a student, and return the names in it.

    Keys and mistakes of problems are the exam's, not the student's: they are left out, as are rows about others.

    Args:
        folder: The class folder.
        student: The student's id.
        target: The zip.

    Raises:
        BadInput: no such student, or there is no folder for the zip.
    """
    refuse_kept(target)
    if not target.absolute().parent.is_dir():
        raise BadInput(fact("errors_pages.no_folder", folder=str(target.absolute().parent)), where=str(target))
    where = class_folder(folder)
    finish_erasure(where)
    mine = next((one for one in read_roster(where.roster).students if one.id == student), None)
    if mine is None:
        raise BadInput(fact("errors_releasing.not_on_roster", student=visible(student)))
    with reading(where) as connection:
        pseudonym = pseudonym_of(connection, student)
        rows = rows_about(connection, pseudonym) if pseudonym else {}
    out = io.BytesIO()
    names = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in (
            ("README.txt", said("student_record.readme", name=mine.name, id=mine.id).encode()),
            ("roster.csv", roster_to_text(Roster((mine,))).encode()),
            ("records.json", _json(rows)),
            *_files(where, student),
        ):
            archive.writestr(zipfile.ZipInfo(name, _TIME), data)
            names.append(name)
    replace_file(target, out.getvalue(), mode=0o600)
    return tuple(names)


def _json(rows: dict[str, list[dict[str, Any]]]) -> bytes:
    return json.dumps(rows, ensure_ascii=False, indent=1, sort_keys=True, default=str).encode()


def _files(where: ClassFolder, student: str) -> Iterator[tuple[str, bytes]]:
    for kind in FOLDERS:
        for path in sorted((where.path / kind / student).rglob("*")):
            if path.is_file() and not path.is_symlink() and not where.reached_by_link(path):
                yield path.relative_to(where.path).as_posix(), path.read_bytes()
