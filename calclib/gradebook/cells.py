"""Notebook cells as plain data, with nbgrader's metadata and checksum."""

from __future__ import annotations

import hashlib
import re
from typing import Any

Cell = dict[str, Any]

_FIT = re.compile(r"[A-Za-z0-9_-]{1,64}")


def grade_id(set_name: str, *parts: str) -> str:
    """Return the id of a cell, the same in the template and in every student's copy.

    It follows from the set, the place and the part alone: neither a cell pasted from another set nor a renamed
    variable is taken for the right one.
    """
    short = set_name if len(set_name) <= 20 else f"{set_name[:13]}-{_digest(set_name)}"
    whole = "-".join((short, *parts))
    return whole if _FIT.fullmatch(whole) else f"{short}-{_digest(whole)}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:6]


def locked_text(name: str, source: str) -> Cell:
    """Return a Markdown cell that students read and can't change."""
    return _cell("markdown", name, source, locked=True)


def locked_code(name: str, source: str) -> Cell:
    """Return a code cell that students run and can't change, without points; its code is folded away."""
    return _folded(_cell("code", name, source, locked=True))


def answer_cell(name: str, source: str) -> Cell:
    """Return the code cell into which a student types one answer."""
    return _cell("code", name, source, solution=True)


def check_cell(name: str, source: str, points: float) -> Cell:
    """Return the locked code cell that carries the points of one answer; its code is folded away."""
    return _folded(_cell("code", name, source, grade=True, locked=True, points=points))


def _folded(cell: Cell) -> Cell:
    """The cell with its code out of sight, its first line in its place; nbgrader's checksum knows nothing of it."""
    cell["metadata"]["jupyter"] = {"source_hidden": True}
    return cell


def _cell(
    kind: str,
    name: str,
    source: str,
    *,
    grade: bool = False,
    solution: bool = False,
    locked: bool = False,
    points: float | None = None,
) -> Cell:
    nbgrader: dict[str, Any] = {
        "cell_type": kind,
        "grade": grade,
        "grade_id": name,
        "locked": locked,
        "schema_version": 3,
        "solution": solution,
        "task": False,
    }
    if points is not None:
        nbgrader["points"] = points
    cell: Cell = {
        "cell_type": kind,
        "id": name,
        "metadata": {"deletable": False, "nbgrader": nbgrader},
        "source": source,
    }
    if locked:
        cell["metadata"]["editable"] = False
    if solution:
        # Whatever is typed there, the cells below it run too.
        cell["metadata"]["tags"] = ["raises-exception"]
    if kind == "code":
        cell |= {"execution_count": None, "outputs": []}
    nbgrader["checksum"] = checksum(cell)
    return cell


def checksum(cell: Cell) -> str:
    """Return the checksum that nbgrader keeps for a cell and compares when a notebook is validated."""
    meta = cell["metadata"]["nbgrader"]
    fields = [cell["source"], cell["cell_type"], str(meta["grade"]), str(meta["solution"]), str(meta["locked"])]
    fields.append(meta["grade_id"])
    if meta["grade"]:
        fields.append(str(float(meta["points"])))
    # nbgrader's own choice of hash: it tells of slips, not of attacks.
    return hashlib.md5("".join(fields).encode(), usedforsecurity=False).hexdigest()
