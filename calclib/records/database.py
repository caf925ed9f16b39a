"""Opening the class's database: one connection, one transaction."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, NullPool, create_engine, event, func, select
from sqlalchemy.exc import ArgumentError, DatabaseError, OperationalError, ProgrammingError

from calclib.class_files.class_folder import ClassFolder
from calclib.errors import BadInput, CalclibError
from calclib.records.schema.upgrade import bring_up
from calclib.records.schema.version import NEWEST, recorded_version, refuse_newer
from calclib.wording.facts import fact

# Any number will do, as long as nobody else locks with it in the same database.
_OPENING = 710_237
# What PostgreSQL says to an account that may not.
_NO_RIGHT = "42501"
_PATIENCE = 60_000
"""Milliseconds that one marker waits for another on SQLite."""
_KEPT = 64_000
"""KB of the file that SQLite keeps in memory; with its usual 2 MB a class of thousands is read again and again."""


@contextmanager
def reading(folder: ClassFolder) -> Iterator[Connection]:
    """Open the class's database to read from it; tables of an earlier version are brought up first.

    Raises:
        BadInput: there is none yet, it can't be reached, or its tables are of a newer version.
    """
    engine = _engine(folder)
    url = engine.url
    if url.get_backend_name() == "sqlite" and url.database and not Path(url.database).is_file():
        raise BadInput(fact("errors_records.no_gradebook_yet"), where=str(folder.path))
    try:
        if _tables_version(engine, folder) not in (None, NEWEST):
            with opening_alone(folder):
                bring_up_alone(folder)
        with engine.connect() as connection:
            yield connection
    except ProgrammingError:
        raise BadInput(
            fact("errors_records.no_gradebook_to_use"),
            where=str(folder.path),
        ) from None
    except DatabaseError as error:
        raise CalclibError(
            fact("errors_records.unreadable", error=_first_line(error)), where=str(folder.path)
        ) from None
    finally:
        engine.dispose()


def tables_version(folder: ClassFolder) -> int | None:
    """Return the version of our tables in the gradebook, None where there are none.

    Raises:
        BadInput: a newer version of calclib made them.
    """
    engine = _engine(folder)
    try:
        return _tables_version(engine, folder)
    finally:
        engine.dispose()


def _tables_version(engine: Engine, folder: ClassFolder) -> int | None:
    with engine.connect() as connection:
        found = recorded_version(connection)
    refuse_newer(found, folder.path)
    return found


def bring_up_alone(folder: ClassFolder) -> None:
    """Make our tables or bring them up to this version; the caller holds `opening_alone`.

    Raises:
        BadInput: the tables are of a newer version, or this account may not change them.
        CalclibError: the gradebook or its copy can't be written.
    """
    engine = _engine(folder)
    try:
        with one_transaction(engine) as connection:
            try:
                bring_up(connection, folder)
            except ProgrammingError as error:
                raise _not_brought_up(error, folder) from None
    finally:
        engine.dispose()


def _not_brought_up(error: ProgrammingError, folder: ClassFolder) -> CalclibError:
    if getattr(error.orig, "sqlstate", "") != _NO_RIGHT:
        return CalclibError(
            fact("errors_records.tables_not_changed", error=_first_line(error)),
            where=str(folder.path),
        )
    return BadInput(
        fact("errors_records.tables_of_earlier_version"),
        where=str(folder.path),
    )


@contextmanager
def one_transaction(engine: Engine) -> Iterator[Connection]:
    """Yield a connection inside one transaction that is kept whole or not at all."""
    hold_transactions(engine)
    try:
        with engine.connect() as connection, connection.begin():
            yield connection
    except DatabaseError as error:
        raise CalclibError(fact("errors_records.not_written", error=_first_line(error))) from None


def reached(folder: ClassFolder) -> None:
    """Connect to the gradebook's database once.

    Raises:
        BadInput: the address is wrong.
        CalclibError: the database can't be reached.
    """
    engine = _engine(folder)
    if engine.dialect.name != "sqlite":
        with opening_alone(folder):
            pass


@contextmanager
def opening_alone(folder: ClassFolder) -> Iterator[None]:
    """Let one process at a time open a gradebook: two that make its tables at once would disturb each other."""
    engine = _engine(folder)
    if engine.dialect.name != "postgresql":
        with _file_locked(folder.path / ".gradebook-lock"):
            yield
        return
    try:
        with create_engine(engine.url, poolclass=NullPool).connect() as connection:
            # The lock ends with the connection, also if this process is killed.
            connection.execute(select(func.pg_advisory_lock(_OPENING)))
            yield
    except OperationalError as error:
        raise CalclibError(
            fact("errors_records.not_reached", error=_first_line(error)), where=str(folder.path)
        ) from None


@contextmanager
def _file_locked(path: Path) -> Iterator[None]:
    try:
        import fcntl
    except ImportError:
        # Windows: a class folder there is opened by one person.
        yield
        return
    with path.open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


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
    connection.execute(f"PRAGMA busy_timeout = {_PATIENCE}")
    connection.execute(f"PRAGMA cache_size = -{_KEPT}")


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _engine(folder: ClassFolder) -> Engine:
    try:
        return create_engine(folder.gradebook_url)
    except (ArgumentError, ImportError):
        raise BadInput(
            fact("errors_records.no_address"),
            where="class.toml",
        ) from None


def _first_line(error: Exception) -> str:
    return str(getattr(error, "orig", error)).strip().splitlines()[0].rstrip(".")
