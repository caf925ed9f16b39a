"""The version that nbgrader writes beside its tables, written where a run that made them was killed before it did."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Engine, inspect, text

_TABLE = "alembic_version"


def finish_version(engine: Engine, tables: Any, version: str) -> None:
    """Write the version of nbgrader's tables where they are those of this nbgrader and have none.

    Without it nbgrader would take them for older ones, and refuse them until they are upgraded by hand.

    Args:
        engine: The gradebook's database.
        tables: The metadata of nbgrader's tables.
        version: Their version.
    """
    with engine.begin() as connection:
        if _recorded(connection) or not _as_described(connection, tables):
            return
        connection.execute(text(f"CREATE TABLE IF NOT EXISTS {_TABLE} (version_num VARCHAR(32) NOT NULL)"))
        connection.execute(text(f"INSERT INTO {_TABLE} (version_num) VALUES (:version)"), {"version": version})


def _recorded(connection: Connection) -> bool:
    if not inspect(connection).has_table(_TABLE):
        return False
    return connection.execute(text(f"SELECT version_num FROM {_TABLE}")).first() is not None


def _as_described(connection: Connection, tables: Any) -> bool:
    """Whether every table has the columns of this nbgrader; one of an earlier date lacks some."""
    found = inspect(connection)
    return all(
        {column.name for column in table.columns} <= {column["name"] for column in found.get_columns(table.name)}
        for table in tables.sorted_tables
        if found.has_table(table.name)
    )
