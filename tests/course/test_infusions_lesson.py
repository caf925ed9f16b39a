"""The lesson on infusions, as a file; that its cells run is checked by running it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

LESSON = Path(__file__).parents[2] / "course" / "infusions.ipynb"


def cells(kind: str) -> list[dict[str, Any]]:
    """The cells of one kind."""
    return [cell for cell in json.loads(LESSON.read_text("utf-8"))["cells"] if cell["cell_type"] == kind]


def test_outputs_and_counts_are_stripped() -> None:
    """A lesson holds nothing that a run left behind."""
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in cells("code"))


def test_cells_have_stable_names_and_few_lines() -> None:
    """Each cell is named by hand, and code cells have one to five lines."""
    names = [cell["id"] for kind in ("code", "markdown") for cell in cells(kind)]
    assert len(names) == len(set(names))
    assert all(re.fullmatch(r"[a-z-]+", name) for name in names)
    assert all(1 <= len(cell["source"]) <= 5 for cell in cells("code"))


def test_imports_use_front_doors_only() -> None:
    """A lesson imports from a folder, never from a file in it."""
    imports = [line for cell in cells("code") for line in cell["source"] if "import" in line]
    assert all(re.match(r"from (calclib\.\w+|\w+) import ", line) for line in imports)


def test_prose_is_written_in_safe_notation() -> None:
    """No trailing zero, no bare decimal point, no micro sign, commas from 1,000 up."""
    prose = "\n".join("".join(cell["source"]) for cell in cells("markdown"))
    assert not re.search(r"\d\.0\b|(?<![\d\w])\.\d|\u00b5|\u03bc|\b\d{4,}\b", prose)
