"""Many rows into one table in one statement, without SQLAlchemy's work on each value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Table, insert


def insert_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows that name the same columns, at least two; the columns left out have no default made in Python.

    The driver takes the values as they are, so they must be text, numbers, truth values or None.
    """
    if not rows:
        return
    columns = list(rows[0])
    compiled: Any = insert(table).compile(dialect=connection.dialect, column_keys=columns, for_executemany=True)
    if compiled.positional:
        values = list(map(itemgetter(*compiled.positiontup), rows))
    else:
        values = [dict(row) for row in rows]
    connection.exec_driver_sql(compiled.string, values)
