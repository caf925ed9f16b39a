"""Start a class: a folder of its own, with the roster, a secret and an empty gradebook."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from calclib.class_files.class_folder import DEFAULT_COURSE, ClassFolder, class_folder, class_folder_from_text
from calclib.class_files.names import set_name
from calclib.class_files.new_roster import read_new_roster
from calclib.class_files.roster import Roster, Student, roster_to_text
from calclib.class_files.secrets_file import make_secret, read_secret
from calclib.class_files.text_files import UNFINISHED, replace_file, sweep_unfinished
from calclib.errors import BadInput
from calclib.gradebook.config_file import class_config
from calclib.gradebook.opening import gradebook_transaction
from calclib.gradebook.student_rows import write_students
from calclib.records.database import reached
from calclib.records.people import pseudonyms, remember_person
from calclib.releasing.erasing.erase import finish_erasure
from calclib.wording.facts import fact


@dataclass(frozen=True)
class StartedClass:
    """What starting a class, or starting it again with a new roster, led to.

    Attributes:
        folder: The class folder.
        added: Students that are new to the class.
        gone: Ids of students that the roster no longer lists; their records stay.
    """

    folder: Path
    added: tuple[Student, ...]
    gone: tuple[str, ...]


def start_class(folder: Path, roster: Path, *, course: str | None = None, db_url: str | None = None) -> StartedClass:
    """Make a class folder from a roster, or bring an existing one up to date with it.

    Args:
        folder: Where the class folder is, or is to be made.
        roster: The class list.
        course: Name of the course in nbgrader, kept from the first time on.
        db_url: The gradebook's database as nbgrader's `db_url`, kept from the first time on; a file in the class
            folder if None.

    Raises:
        BadInput: the roster is wrong, or the folder holds something else.
    """
    students = read_new_roster(roster, known=_known(folder))
    where = _settings(folder, course, db_url)
    sweep_unfinished(where.path)
    make_secret(where.secret)
    secret = read_secret(where.secret)
    replace_file(where.roster, roster_to_text(students).encode(), lasting=True)
    replace_file(where.config, class_config(where).encode(), mode=0o600)
    # A class folder holds names and marks: if it lies inside a repository, git leaves it alone.
    replace_file(where.path / ".gitignore", b"*\n")
    with gradebook_transaction(where) as connection:
        known = enroll(connection, students, secret)
    added = tuple(student for student in students.students if student.id not in known)
    gone = tuple(sorted(known - set(students.by_id())))
    return StartedClass(where.path, added, gone)


def enroll(connection: Connection, roster: Roster, secret: bytes) -> set[str]:
    """Write the roster's students into the gradebook and return the ids that were there before."""
    known = write_students(connection, roster)
    for student in roster.students:
        remember_person(connection, secret, student.id)
    return known


def _known(folder: Path) -> frozenset[str]:
    """The ids that a class has records of; those of who is erased are forgotten first."""
    if not (folder / "class.toml").exists():
        return frozenset()
    where = class_folder(folder)
    finish_erasure(where)
    with gradebook_transaction(where) as connection:
        return frozenset(pseudonyms(connection))


def _settings(folder: Path, course: str | None, db_url: str | None) -> ClassFolder:
    if (folder / "class.toml").exists():
        there = class_folder(folder)
        if course is not None and course != there.course:
            raise BadInput(fact("errors_releasing.course_already", course=there.course))
        if db_url is not None and db_url != there.gradebook_url:
            raise BadInput(fact("errors_releasing.gradebook_already"))
        return there
    if folder.exists() and (not folder.is_dir() or _holds_something(folder)):
        raise BadInput(fact("errors_releasing.folder_not_empty", folder=str(folder)))
    name = set_name(DEFAULT_COURSE if course is None else course)
    text = f'course = "{name}"\n'
    if db_url is not None:
        text += f"gradebook_url = {json.dumps(db_url)}\n"
    there = class_folder_from_text(folder, text)
    if db_url is not None:
        # A wrong address is better found out before anything is written.
        reached(there)
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    # The address may hold a password.
    replace_file(folder / "class.toml", text.encode(), mode=0o600, lasting=True)
    return there


def _holds_something(folder: Path) -> bool:
    """Whether a folder holds anything but what an interrupted start left half-written."""
    return any(not path.name.startswith(UNFINISHED) for path in folder.iterdir())
