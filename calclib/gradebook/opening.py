"""Opening nbgrader's gradebook of a class, with our tables beside its own."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DatabaseError

from calclib.class_files.class_folder import ClassFolder
from calclib.errors import CalclibError
from calclib.gradebook.own_version import finish_version
from calclib.records.database import bring_up_alone, hold_transactions, one_transaction, opening_alone, tables_version
from calclib.records.schema.version import NEWEST
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from nbgrader.api import Gradebook


@contextmanager
def open_gradebook(folder: ClassFolder) -> Iterator[Gradebook]:
    """Open a class's gradebook and make its tables, or bring ours up to this version.

    Ours are made after nbgrader's: it takes a database that has any table for one of its own of an earlier date.

    Raises:
        BadInput: our tables are of a newer version.
        CalclibError: the database can't be opened.
    """
    api = nbgrader_api()
    with opening_alone(folder):
        gradebook = _opened(api, folder)
    try:
        yield gradebook
    finally:
        gradebook.close()


def _opened(api: Any, folder: ClassFolder) -> Gradebook:
    asked, api.get_alembic_version = api.get_alembic_version, _schema_version
    try:
        before = tables_version(folder)
        # Before nbgrader holds anything of it, for which a change of tables would wait.
        if before not in (None, NEWEST):
            bring_up_alone(folder)
        gradebook = api.Gradebook(folder.gradebook_url, folder.course)
    except DatabaseError as error:
        first = (str(getattr(error, "orig", error)).strip().splitlines() or [""])[0]
        raise CalclibError(fact("errors_gradebook.not_opened", error=first), where=str(folder.path)) from None
    finally:
        api.get_alembic_version = asked
    gradebook.db.remove()
    if before is None:
        finish_version(gradebook.engine, api.Base.metadata, _schema_version())
        bring_up_alone(folder)
    return gradebook


@contextmanager
def gradebook_transaction(folder: ClassFolder) -> Iterator[Connection]:
    """Open a class's gradebook and yield a connection in one transaction, kept whole or not at all."""
    with open_gradebook(folder) as gradebook:
        engine: Engine = gradebook.engine
        hold_transactions(engine)
        with one_transaction(engine) as connection:
            yield connection


def nbgrader_api() -> Any:
    """Return the module `nbgrader.api`, imported in about half of its usual time."""
    name = "rfc3987_syntax"
    # A grammar for addresses that jsonschema would load, in more than a second, and that no notebook needs; jsonschema
    # does without where it isn't installed.
    hidden = name not in sys.modules and "jsonschema" not in sys.modules
    if hidden:
        sys.modules[name] = None  # type: ignore[assignment]
    try:
        import nbgrader.api
    finally:
        if hidden:
            del sys.modules[name]
    return nbgrader.api


def _schema_version() -> str:
    # nbgrader asks the program `alembic` for it when it makes a database: that takes seconds, and fails where the
    # environment isn't activated. The library gives the same answer.
    from alembic.script import ScriptDirectory
    from nbgrader.dbutil import ALEMBIC_DIR

    head = ScriptDirectory(ALEMBIC_DIR).get_current_head()
    assert head is not None
    return head
