"""A copy of a gradebook, made before its tables are changed: one SQLite file, from whatever database."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection, MetaData, NullPool, create_engine, insert, select
from sqlalchemy.types import NullType

_ROWS = 1_000
"""So many rows are in memory at a time."""


def copy_gradebook(connection: Connection, to: Path) -> None:
    """Copy the whole gradebook, also nbgrader's tables, into a file that its owner alone can read.

    An older copy of that name is replaced; a run that is killed leaves none.

    Args:
        connection: A connection in a transaction that wrote nothing yet.
        to: The file.

    Raises:
        OSError: it can't be written.
    """
    with _put_in_place(to) as unfinished:
        if connection.dialect.name == "sqlite":
            _copy_file(Path(connection.engine.url.database or ""), unfinished)
        else:
            _copy_tables(connection, unfinished)


@contextmanager
def _put_in_place(to: Path) -> Iterator[Path]:
    to.parent.mkdir(mode=0o700, exist_ok=True)
    unfinished = to.with_name(f"{to.name}.unfinished")
    unfinished.unlink(missing_ok=True)
    os.close(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        yield unfinished
        unfinished.replace(to)
    except sqlite3.Error as error:
        raise OSError(0, str(error)) from None
    finally:
        unfinished.unlink(missing_ok=True)


def _copy_file(source: Path, to: Path) -> None:
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(to)) as new:
        old.backup(new)


def _copy_tables(connection: Connection, to: Path) -> None:
    tables = MetaData()
    tables.reflect(connection)
    for table in tables.tables.values():
        for column in table.columns:
            column.server_default = None
            if not isinstance(column.type, NullType):
                column.type = column.type.as_generic(allow_nulltype=True)
    engine = create_engine(f"sqlite:///{to}", poolclass=NullPool)
    try:
        with engine.begin() as file:
            tables.create_all(file)
            for table in tables.sorted_tables:
                found = connection.execute(select(table).execution_options(yield_per=_ROWS))
                for rows in found.mappings().partitions():
                    file.execute(insert(table), [dict(row) for row in rows])
    finally:
        engine.dispose()
