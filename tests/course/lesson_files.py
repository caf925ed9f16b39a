"""The lessons of `course/` as files."""

from __future__ import annotations

import ast
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

COURSE = Path(__file__).parents[2] / "course"
_NUMBERED = re.compile(r"(\d\d)-[a-z-]+\.ipynb")


@dataclass(frozen=True)
class Page:
    """One lesson: its number and its cells."""

    path: Path
    number: int
    cells: tuple[dict[str, Any], ...]

    def of_kind(self, kind: str) -> list[dict[str, Any]]:
        """Its cells of one kind."""
        return [cell for cell in self.cells if cell["cell_type"] == kind]

    @property
    def prose(self) -> str:
        """All of its text."""
        return "\n\n".join("".join(cell["source"]) for cell in self.of_kind("markdown"))

    def calls(self, name: str) -> list[ast.Call]:
        """Calls of a function in its code."""
        trees = [ast.parse("".join(cell["source"])) for cell in self.of_kind("code")]
        calls = [node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Call)]
        return [call for call in calls if isinstance(call.func, ast.Name) and call.func.id == name]

    def practiced(self) -> tuple[list[str], list[str]]:
        """The item models of its practice boxes: its own, and earlier ones that are mixed in."""
        own: list[str] = []
        mixed: list[str] = []
        for call in self.calls("practice_box"):
            own += ast.literal_eval(call.args[0])
            for keyword in call.keywords:
                if keyword.arg == "mixed":
                    mixed += ast.literal_eval(keyword.value)
        return own, mixed


def pages() -> list[Page]:
    """All lessons, in the order of learning."""
    found = [(path, _NUMBERED.fullmatch(path.name)) for path in sorted(COURSE.glob("*.ipynb"))]
    return [
        Page(path, int(name[1]), tuple(json.loads(path.read_text("utf-8"))["cells"])) for path, name in found if name
    ]
