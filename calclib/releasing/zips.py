"""One zip a student: the sealed notebooks to give out, the feedback pages to give back, or the plans after an exam."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.names import set_name as checked
from calclib.class_files.roster import Student, read_roster
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.notebook import holds_tag
from calclib.records.database import reading
from calclib.records.handed_out import latest_attempts, tags_by_student
from calclib.records.part_marks import marked_attempts
from calclib.records.people import pseudonyms
from calclib.wording.facts import fact

# The same files give the same zip, whenever it is made.
_TIME = (2000, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class Zipped:
    """What was zipped.

    Attributes:
        written: The zips.
        without: Students for whom there is nothing to zip.
        attempts: Numbers of the attempts whose notebooks were zipped; none where every student's was.
        other_attempt: How many students were left out, since theirs is another attempt.
        first_unmarked: Those of them whose first attempt isn't marked yet: late joiners, and who handed in nothing.
    """

    written: tuple[Path, ...]
    without: tuple[Student, ...]
    attempts: tuple[int, ...] = ()
    other_attempt: int = 0
    first_unmarked: tuple[Student, ...] = ()


def zip_each(folder: Path, set_name: str, target: Path, *, feedback: bool, attempt: int | None = None) -> Zipped:
    """Write a zip for each student of a class into `target`, named by the student's id and the set.

    Once further attempts were given, only notebooks of these go in that aren't marked yet.

    Args:
        folder: The class folder.
        set_name: The set.
        target: Where the zips go; it is made if need be, for its owner alone.
        feedback: Feedback pages; else the notebooks that are handed out.
        attempt: Only notebooks of this attempt.

    Raises:
        BadInput: the class folder or its roster is wrong.
    """
    where = class_folder(folder)
    name = checked(set_name)
    wanted = None if feedback else _wanted(where, name, attempt)
    tags = {} if feedback else _tags(where, name)
    written: list[Path] = []
    without: list[Student] = []
    left_out: list[Student] = []
    refuse_kept(target)
    target.mkdir(mode=0o700, parents=True, exist_ok=True)
    for student in read_roster(where.roster).students:
        if wanted is not None and student.id not in wanted:
            left_out.append(student)
            continue
        source = (where.feedback if feedback else where.rendered)(name, student.id)
        if not source.is_file():
            without.append(student)
            continue
        if not feedback:
            refuse_unrecorded(source, tags, student)
        number = wanted[student.id] if wanted is not None else 1
        path = target / f"{student.id}-{name}{f'-attempt-{number}' if number > 1 else ''}.zip"
        replace_file(path, _zip({f"{name}/{source.name}": source.read_bytes()}), mode=0o600)
        written.append(path)
    numbers = tuple(sorted(set(wanted.values()))) if wanted is not None else ()
    unmarked = _first_unmarked(where, name) if attempt is None and left_out else frozenset()
    first = tuple(student for student in left_out if student.id in unmarked)
    return Zipped(tuple(written), tuple(without), numbers, len(left_out), first)


def zip_plans(folder: Path, set_name: str, target: Path) -> Zipped:
    """Write a zip of the latest plan, page and practice notebook, for each student who has one.

    Args:
        folder: The class folder.
        set_name: The set.
        target: Where the zips go; it is made if need be, for its owner alone.

    Raises:
        BadInput: the class folder or its roster is wrong.
    """
    where = class_folder(folder)
    name = checked(set_name)
    written: list[Path] = []
    refuse_kept(target)
    target.mkdir(mode=0o700, parents=True, exist_ok=True)
    for student in read_roster(where.roster).students:
        place = where.plan(name, student.id, 1).parent
        attempts = [int(path.stem.removeprefix("plan-")) for path in place.glob("plan-*.html") if path.is_file()]
        if not attempts:
            continue
        last = max(attempts)
        files = (where.plan(name, student.id, last), where.plan_notebook(name, student.id, last))
        data = {f"{name}/{path.name}": path.read_bytes() for path in files if path.is_file()}
        path = target / f"{student.id}-{name}-plan-{last}.zip"
        replace_file(path, _zip(data), mode=0o600)
        written.append(path)
    return Zipped(tuple(written), ())


def refuse_unrecorded(source: Path, tags: Mapping[str, frozenset[tuple[str, str]]], student: Student) -> None:
    """Refuse to give out a notebook that an interrupted command wrote and didn't record.

    Args:
        source: The notebook.
        tags: By student id, pseudonym and tag of each notebook that is recorded for the student.
        student: The student.

    Raises:
        BadInput: it is one.
    """
    if not holds_tag(source, (tag for _, tag in tags.get(student.id, ()))):
        raise BadInput(fact("errors_releasing.notebook_not_recorded", name=student.name, student=student.id))


def _tags(where: ClassFolder, name: str) -> Mapping[str, frozenset[tuple[str, str]]]:
    with reading(where) as connection:
        return tags_by_student(connection, name)


def _wanted(where: ClassFolder, name: str, attempt: int | None) -> Mapping[str, int] | None:
    """The students whose notebooks go in, each with the number of the attempt; None for everyone's."""
    with reading(where) as connection:
        latest = latest_attempts(connection, name)
        if attempt is not None:
            return {student: number for student, number in latest.items() if number == attempt}
        if max(latest.values(), default=1) == 1:
            return None
        marked, names = marked_attempts(connection, name), pseudonyms(connection)
    return {
        student: number
        for student, number in latest.items()
        if number > 1 and (names.get(student, ""), number) not in marked
    }


def _first_unmarked(where: ClassFolder, name: str) -> frozenset[str]:
    """Ids of the students who have a first attempt alone, which isn't marked."""
    with reading(where) as connection:
        marked, names = marked_attempts(connection, name), pseudonyms(connection)
        latest = latest_attempts(connection, name)
    return frozenset(one for one, number in latest.items() if number == 1 and (names.get(one, ""), 1) not in marked)


def _zip(files: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, _TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, data)
    return out.getvalue()
