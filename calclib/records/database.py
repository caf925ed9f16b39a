"""Opening the class's database: one connection, one transaction."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, OperationalError

from calclib.errors import BadInput, CalclibError
from calclib.records.class_folder import ClassFolder


@contextmanager
def reading(folder: ClassFolder) -> Iterator[Connection]:
    """Open the class's database to read from it.

    Raises:
        BadInput: there is none yet, or it can't be reached.
    """
    url = make_url(folder.gradebook_url)
    if url.get_backend_name() == "sqlite" and url.database and not Path(url.database).is_file():
        raise BadInput("The class has no gradebook yet: start the class first.", where=str(folder.path))
    engine = _engine(folder)
    try:
        with engine.connect() as connection:
            yield connection
    except OperationalError as error:
        raise CalclibError(f"The gradebook can't be read: {_first_line(error)}.", where=str(folder.path)) from None
    finally:
        engine.dispose()


@contextmanager
def one_transaction(engine: Engine) -> Iterator[Connection]:
    """Yield a connection inside one transaction that is kept whole or not at all."""
    hold_transactions(engine)
    try:
        with engine.connect() as connection, connection.begin():
            yield connection
    except OperationalError as error:
        raise CalclibError(
            f"The gradebook can't be written: {_first_line(error)}; nothing was changed, so try again."
        ) from None


def hold_transactions(engine: Engine) -> None:
    """Make SQLite begin a transaction where SQLAlchemy does, with a lock from the start; others need nothing."""
    if engine.dialect.name != "sqlite" or event.contains(engine, "connect", _plain_begin):
        return
    # Connections that are pooled already were opened without the listener.
    engine.dispose()
    event.listen(engine, "connect", _plain_begin)
    event.listen(engine, "begin", _begin_immediate)


def _plain_begin(connection: Any, _record: Any) -> None:
    # The driver's own rule (begin before the first write alone) would let rows leak past a rollback.
    connection.isolation_level = None


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _engine(folder: ClassFolder) -> Engine:
    try:
        return create_engine(folder.gradebook_url)
    except (ArgumentError, ImportError):
        raise BadInput("The gradebook_url isn't a database address that works here.", where="class.toml") from None


def _first_line(error: Exception) -> str:
    return str(getattr(error, "orig", error)).strip().splitlines()[0].rstrip(".")
