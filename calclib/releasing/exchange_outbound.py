"""Hand out through nbgrader's exchange: a private folder for each student, and a skeleton that everyone may see."""

from __future__ import annotations

import datetime as dt
import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, select

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import set_name as checked_set_name
from calclib.class_files.roster import Student, account_of, read_roster
from calclib.class_files.text_files import UNFINISHED, replace_file
from calclib.errors import BadInput, CalclibError
from calclib.gradebook.opening import gradebook_transaction
from calclib.records.handed_out import tags_by_student
from calclib.records.history import EventKind, write_history
from calclib.records.sealed import lock_set, sealed_set
from calclib.records.tables import HISTORY
from calclib.releasing.zips import refuse_unrecorded
from calclib.wording.facts import fact

PRIVATE = "private"
# As nbgrader makes them: students write hand-ins and can't list them.
_COURSE, _OUTBOUND, _INBOUND, _PRIVATE, _OWN = 0o755, 0o755, 0o2733, 0o711, 0o700


@dataclass(frozen=True)
class Released:
    """What releasing led to.

    Attributes:
        new: Students whose notebook lies there now and didn't, or was another.
        unchanged: Students whose notebook lay there before.
        without_account: Students who have no account of that name on this machine.
        without_notebook: Students for whom the set hasn't been drawn yet.
        folder: The folder that holds the private folders.
    """

    new: tuple[Student, ...]
    unchanged: tuple[Student, ...]
    without_account: tuple[Student, ...]
    without_notebook: tuple[Student, ...]
    folder: Path


def release(folder: Path, set_name: str, exchange: Path, *, now: dt.datetime) -> Released:
    """Put each student's notebook into a folder of the exchange that nobody but the student and its owner can read.

    Args:
        folder: The class folder.
        set_name: A set that was handed out.
        exchange: The exchange, as nbgrader's `Exchange.root`.
        now: The time that is recorded.

    Raises:
        BadInput: the class, the set or the exchange isn't there.
        CalclibError: rights can't be given to single accounts on this machine.
    """
    where = class_folder(folder)
    name = checked_set_name(set_name)
    if os.name != "posix" or not exchange.is_dir():
        raise BadInput(fact("errors_releasing.no_exchange", exchange=str(exchange)))
    found: dict[str, list[Student]] = {"new": [], "unchanged": [], "without_account": [], "without_notebook": []}
    with gradebook_transaction(where) as connection:
        lock_set(connection, name)
        if sealed_set(connection, name) is None:
            raise BadInput(fact("errors_records.no_set", name=name))
        _refuse_course_of_others(where, exchange)
        private = _course_folders(where, name, exchange)
        tags = tags_by_student(connection, name)
        for student in read_roster(where.roster).students:
            if where.rendered(name, student.id).is_file():
                refuse_unrecorded(where.rendered(name, student.id), tags, student)
            found[_release_one(where, name, student, private)].append(student)
        new = max(len(found["new"]), len(found["new"]) + len(found["unchanged"]) - _recorded(connection, name))
        if new:
            write_history(connection, at=now, kind=EventKind.RELEASED, set_name=name, detail={"new": new})
    return Released(**{kind: tuple(students) for kind, students in found.items()}, folder=private)


def _recorded(connection: Connection, name: str) -> int:
    """How many notebooks the history says were released; fewer lie there, or a run ended before it wrote its line."""
    lines = (HISTORY.c.set_name == name, HISTORY.c.event == EventKind.RELEASED.value)
    details = connection.execute(select(HISTORY.c.detail).where(*lines)).scalars()
    return sum(int(json.loads(detail).get("new", 0)) for detail in details)


def _refuse_course_of_others(where: ClassFolder, exchange: Path) -> None:
    course = exchange / where.course
    if course.exists() and course.stat().st_uid != os.geteuid() and os.geteuid() != 0:
        raise BadInput(fact("errors_releasing.course_of_another", course=where.course))


def _course_folders(where: ClassFolder, name: str, exchange: Path) -> Path:
    course = exchange / where.course
    made = ((course, _COURSE), (course / "outbound", _OUTBOUND), (course / "inbound", _INBOUND))
    for path, mode in (*made, (course / PRIVATE, _PRIVATE), (course / "outbound" / name, _OUTBOUND)):
        if not path.is_dir():
            # Whole or not at all: with other rights students couldn't hand in, or could look around.
            new = path.with_name(f"{UNFINISHED}{path.name}")
            new.mkdir(exist_ok=True)
            new.chmod(mode)
            new.rename(path)
    # nbgrader lists and takes a set only if something lies here; it shows no numbers. Nothing else is copied.
    replace_file(course / "outbound" / name / f"{name}.ipynb", where.template(name).read_bytes())
    return course / PRIVATE


def _release_one(where: ClassFolder, name: str, student: Student, private: Path) -> str:
    import pwd

    source = where.rendered(name, student.id)
    if not source.is_file():
        return "without_notebook"
    account = account_of(student)
    try:
        user = pwd.getpwnam(account)
    except KeyError:
        return "without_account"
    own = private / account
    path = own / name / f"{name}.ipynb"
    for folder in (own, own / name):
        if not folder.is_dir():
            folder.mkdir(mode=_OWN)
        _give(folder, user.pw_uid, account, "rx")
    new = replace_file(path, source.read_bytes(), mode=0o600)
    _give(path, user.pw_uid, account, "r")
    return "new" if new else "unchanged"


def _give(path: Path, user: int, account: str, rights: str) -> None:
    """Give a file or folder to one account alone: as its owner if we may, otherwise by an entry in its rights."""
    if os.geteuid() == 0:
        os.chown(path, user, -1)
        return
    program = shutil.which("setfacl")
    if program is None:
        raise CalclibError(fact("errors_releasing.no_setfacl"))
    done = subprocess.run(  # noqa: S603 (a fixed program; the account's name is one of this machine's)
        [program, "-m", f"u:{account}:{rights}", "--", str(path)], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise CalclibError(
            fact("errors_releasing.no_rights", account=account, path=str(path), reason=done.stderr.strip()[-200:])
        )
