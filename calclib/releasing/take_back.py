"""Take a set back that nobody has answered: its draws and notebooks go, its name is free again."""

from __future__ import annotations

import datetime as dt
import shutil
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, delete, func, select

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import set_name as checked_set_name
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.gradebook.template import delete_template, has_submissions
from calclib.records.history import EventKind, day_of, write_history
from calclib.records.sealed import SealedSet, lock_set, sealed_set
from calclib.records.tables import ANSWER, ITEM, MARK, PAPER, REKEYED, RULING, SET, SET_ASIDE
from calclib.wording.facts import fact

_HANDED_IN = ("submissions", "earlier", "questioned", "autograded", "feedback")


@dataclass(frozen=True)
class TakenBack:
    """What taking a set back led to, or would lead to.

    Attributes:
        students: For how many students it was drawn.
        rulings: How many rulings on it went too.
    """

    students: int
    rulings: int


def take_back(folder: Path, set_name: str, *, now: dt.datetime, preview: bool = False) -> TakenBack:
    """Forget what was drawn for a set, remove its notebooks, and leave its blueprint and its history.

    An interrupted run changes nothing in the records; another one removes what is left.

    Args:
        folder: The class folder.
        set_name: The set.
        now: The time that is recorded.
        preview: Only look whether it can be taken back.

    Raises:
        BadInput: no such set, or it was released in an exchange, or something of it was handed in.
    """
    where = class_folder(folder)
    name = checked_set_name(set_name)
    with gradebook_transaction(where) as connection:
        lock_set(connection, name)
        sealed = sealed_set(connection, name)
        if sealed is None:
            raise BadInput(fact("errors_records.no_set", name=name))
        _refuse_given_out(connection, where, sealed)
        students = connection.execute(
            select(func.count(PAPER.c.pseudonym.distinct())).where(PAPER.c.set_name == name)
        ).scalar_one()
        rulings = connection.execute(select(func.count()).where(RULING.c.set_name == name)).scalar_one()
        if not preview:
            for table in (REKEYED, ITEM, PAPER, RULING):
                connection.execute(delete(table).where(table.c.set_name == name))
            connection.execute(delete(SET).where(SET.c.name == name))
            delete_template(connection, name)
            write_history(
                connection,
                at=now,
                kind=EventKind.TAKEN_BACK,
                set_name=name,
                detail={"students": students, "rulings": rulings or ""},
            )
            # Before the rows are kept: whoever hands out again waits for them, and would lose new notebooks.
            _remove_files(where, name)
    return TakenBack(students, rulings)


def _refuse_given_out(connection: Connection, where: ClassFolder, sealed: SealedSet) -> None:
    name = sealed.name
    released = day_of(connection, name, EventKind.RELEASED)
    if released:
        raise BadInput(fact("errors_releasing.released_already", name=name, day=released))
    rows = any(
        connection.execute(select(table.c.set_name).where(table.c.set_name == name).limit(1)).first()
        for table in (MARK, ANSWER, SET_ASIDE)
    )
    files = any(_files(where, kind, name) for kind in _HANDED_IN)
    if rows or files or has_submissions(connection, name):
        raise BadInput(fact("errors_releasing.handed_in_already", name=name))


def _files(where: ClassFolder, kind: str, name: str) -> list[Path]:
    """What lies in the folders of the set, one of each student."""
    return [path for path in where.path.glob(f"{kind}/*/{name}/*") if path.is_file()]


def _remove_files(where: ClassFolder, name: str) -> None:
    for path in (*where.path.glob(f"release/*/{name}"), where.template(name).parent):
        if path.is_symlink():
            path.unlink()
        elif path.is_dir() and not where.reached_by_link(path):
            shutil.rmtree(path)
    where.report(name).unlink(missing_ok=True)
