"""The rows of our tables that are about one student."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, select

from calclib.records.tables import ANSWER, HISTORY, ITEM, MARK, PAPER, PERSON, RULING, SET_ASIDE

# Of an item what the student was asked; its key and its mistakes are left out.
_ASKED = ("set_name", "attempt", "slot", "model_id", "model_version")


def rows_about(connection: Connection, pseudonym: str) -> dict[str, list[dict[str, Any]]]:
    """Return the rows about a student by table, without keys of problems.

    Args:
        connection: The class's database.
        pseudonym: The student.
    """
    found = {
        table.name: [
            dict(row) for row in connection.execute(select(table).where(table.c.pseudonym == pseudonym)).mappings()
        ]
        for table in (PERSON, PAPER, MARK, ANSWER, SET_ASIDE, RULING, HISTORY)
    }
    asked = select(*(ITEM.c[name] for name in _ASKED)).where(ITEM.c.pseudonym == pseudonym)
    found[ITEM.name] = [dict(row) for row in connection.execute(asked).mappings()]
    return found
