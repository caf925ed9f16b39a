"""One zip a student: the sealed notebooks to give out, or the feedback pages to give back."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import class_folder
from calclib.class_files.names import set_name as checked
from calclib.class_files.roster import Student, read_roster
from calclib.class_files.text_files import replace_file

# The same files give the same zip, whenever it is made.
_TIME = (2000, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Zipped:
    """The zips that were written, and the students for whom there is nothing to zip."""

    written: tuple[Path, ...]
    without: tuple[Student, ...]


def zip_each(folder: Path, set_name: str, target: Path, *, feedback: bool) -> Zipped:
    """Write a zip for each student of a class into `target`, named by the student's id and the set.

    Args:
        folder: The class folder.
        set_name: The set.
        target: Where the zips go; it is made if need be, for its owner alone.
        feedback: Feedback pages; else the notebooks that are handed out.

    Raises:
        BadInput: the class folder or its roster is wrong.
    """
    where = class_folder(folder)
    name = checked(set_name)
    written: list[Path] = []
    without: list[Student] = []
    target.mkdir(mode=0o700, parents=True, exist_ok=True)
    for student in read_roster(where.roster).students:
        source = (where.feedback if feedback else where.rendered)(name, student.id)
        if not source.is_file():
            without.append(student)
            continue
        path = target / f"{student.id}-{name}.zip"
        replace_file(path, _zip(f"{name}/{source.name}", source.read_bytes()), mode=0o600)
        written.append(path)
    return Zipped(tuple(written), tuple(without))


def _zip(name: str, data: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        entry = zipfile.ZipInfo(name, _TIME)
        entry.compress_type = zipfile.ZIP_DEFLATED
        entry.external_attr = 0o644 << 16
        archive.writestr(entry, data)
    return out.getvalue()
