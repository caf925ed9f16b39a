"""The rows of a gradebook in a form in which two of them can be compared: ids replaced by what they stand for."""

from __future__ import annotations

from typing import Any

from sqlalchemy import MetaData, select

from calclib.class_files import ClassFolder
from calclib.records import reading

# When something was marked, and the log of it.
_TIMES = {"marked", "noticed", "made", "handed_out"}
_PASSED_OVER = {"calclib_history"}


def gradebook_rows(folder: ClassFolder, *, without: frozenset[str] = frozenset()) -> dict[str, list[str]]:
    """Return the rows of each table, sorted, ids and times of marking apart.

    Args:
        folder: The class folder.
        without: Further columns that are left out.
    """
    with reading(folder) as connection:
        tables = MetaData()
        tables.reflect(connection)
        rows: dict[str, list[dict[str, Any]]] = {
            name: [dict(row._mapping) for row in connection.execute(select(table))]
            for name, table in tables.tables.items()
            if name not in _PASSED_OVER
        }
    # The rows of the kinds of cells have the id of the cell's own row.
    by_id = {row["id"]: row for name, found in rows.items() for row in found if name not in _KINDS and "id" in row}
    return {name: sorted(_told(row, by_id, without) for row in found) for name, found in sorted(rows.items())}


_KINDS = {"grade_cells", "solution_cells", "task_cells", "student", "course"}


def _told(row: dict[str, Any], by_id: dict[str, dict[str, Any]], without: frozenset[str]) -> str:
    words = []
    for name, value in sorted(row.items()):
        if name in _TIMES or name in without:
            continue
        target = by_id.get(value) if isinstance(value, str) and len(value) == 32 else None
        if target is None:
            words.append(f"{name}={value!r}")
        elif target is not row:
            words.append(f"{name}=({_told(target, by_id, without)})")
    return ", ".join(words)
