"""Which version the tables of a gradebook have."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import OperationalError, ProgrammingError

from calclib.errors import BadInput
from calclib.records.tables import SET
from calclib.wording.facts import fact

NEWEST = 4
"""The version of `calclib.records.tables`; each script in `versions/` makes one more."""
UNNUMBERED = 0
"""What 0.1.0 made: tables without a number."""
VERSION_TABLE = "calclib_schema_version"
"""nbgrader keeps the version of its own tables in `alembic_version`."""

_ASKED = text(f"SELECT version_num FROM {VERSION_TABLE}")  # noqa: S608 - a name of ours


def recorded_version(connection: Connection) -> int | None:
    """Return the version of our tables, None where there are none.

    Args:
        connection: A connection on which nothing was asked yet: its transaction is ended.
    """
    try:
        found = connection.execute(_ASKED).scalar()
        connection.rollback()
    except (OperationalError, ProgrammingError):
        # Asking first whether there is such a table would take longer, and there nearly always is.
        connection.rollback()
        return version_within(connection)
    return None if found is None else int(found)


def version_within(connection: Connection) -> int | None:
    """Return the same in a transaction, which goes on."""
    tables = inspect(connection)
    if tables.has_table(VERSION_TABLE):
        found = connection.execute(_ASKED).scalar()
        return None if found is None else int(found)
    return UNNUMBERED if tables.has_table(SET.name) else None


def refuse_newer(version: int | None, where: Path) -> None:
    """Refuse a gradebook whose tables this program doesn't know.

    Args:
        version: The version of its tables.
        where: The class folder.

    Raises:
        BadInput: they are of a newer program.
    """
    if version is not None and version > NEWEST:
        raise BadInput(
            fact("errors_records.newer", version=version, known=NEWEST),
            where=str(where),
        )
