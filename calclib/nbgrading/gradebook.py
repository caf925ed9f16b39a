"""Opening nbgrader's gradebook of a class, with our tables beside its own."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import ArgumentError, OperationalError

from calclib.errors import BadInput, CalclibError
from calclib.records.class_folder import ClassFolder
from calclib.records.database import hold_transactions, one_transaction
from calclib.records.tables import METADATA

if TYPE_CHECKING:
    from nbgrader.api import Gradebook


@contextmanager
def open_gradebook(folder: ClassFolder) -> Iterator[Gradebook]:
    """Open a class's gradebook and make what is missing of its tables.

    Ours are made after nbgrader's: it takes a database that has any table for one of its own of an earlier date.

    Raises:
        CalclibError: the database can't be opened.
    """
    _put_alembic_on_path()
    from nbgrader.api import Gradebook

    try:
        gradebook = Gradebook(folder.gradebook_url, folder.course)
    except (OperationalError, ArgumentError, ImportError) as error:
        first = (str(getattr(error, "orig", error)).strip().splitlines() or [""])[0]
        raise CalclibError(f"The gradebook can't be opened ({first}).", where=str(folder.path)) from None
    try:
        METADATA.create_all(gradebook.engine)
        gradebook.db.remove()
        yield gradebook
    finally:
        gradebook.close()


@contextmanager
def gradebook_transaction(folder: ClassFolder) -> Iterator[Connection]:
    """Open a class's gradebook and yield a connection in one transaction, kept whole or not at all."""
    with open_gradebook(folder) as gradebook:
        engine: Engine = gradebook.engine
        hold_transactions(engine)
        with one_transaction(engine) as connection:
            yield connection


def _put_alembic_on_path() -> None:
    # nbgrader calls `alembic` by its bare name when it makes a database; nothing need be activated for that.
    here = str(Path(sys.executable).parent)
    if shutil.which("alembic") is None:
        os.environ["PATH"] = os.pathsep.join([here, os.environ.get("PATH", "")])
    if shutil.which("alembic") is None:
        raise BadInput(f"The program alembic is missing from {here}: install this package again with its dependencies.")
