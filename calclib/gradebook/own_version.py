"""The version that nbgrader writes beside its tables, written where a run that made them was killed before it did."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, Connection, Engine, MetaData, String, Table, insert, inspect, select

_TABLE = Table("alembic_version", MetaData(), Column("version_num", String(32), nullable=False))


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
        _TABLE.create(connection, checkfirst=True)
        connection.execute(insert(_TABLE).values(version_num=version))


def _recorded(connection: Connection) -> bool:
    return inspect(connection).has_table(_TABLE.name) and connection.execute(select(_TABLE)).first() is not None


def _as_described(connection: Connection, tables: Any) -> bool:
    """Whether every table has the columns of this nbgrader; one of an earlier date lacks some."""
    found = inspect(connection)
    return all(
        {column.name for column in table.columns} <= {column["name"] for column in found.get_columns(table.name)}
        for table in tables.sorted_tables
        if found.has_table(table.name)
    )
