"""The package's files and their syntax trees, for tests that read code instead of running it."""

from __future__ import annotations

import ast
import functools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
PACKAGE = REPOSITORY / "calclib"


@dataclass(frozen=True, eq=False)
class SourceFile:
    """One module of the package, read once.

    `folder` is the layer that it lies in ("" for calclib/__init__.py itself).
    """

    path: Path
    folder: str
    tree: ast.Module

    def at(self, node: ast.AST) -> str:
        """Where a node stands, as an editor opens it."""
        return f"{self.path.relative_to(REPOSITORY)}:{getattr(node, 'lineno', 1)}"


@functools.cache
def source_files() -> tuple[SourceFile, ...]:
    """Every module of calclib."""
    return tuple(_read(path) for path in sorted(PACKAGE.rglob("*.py")))


def modules_of(folder: Path) -> tuple[SourceFile, ...]:
    """The modules of one folder that lies outside the package."""
    return tuple(_read(path) for path in sorted(folder.rglob("*.py")))


def _read(path: Path) -> SourceFile:
    parts = path.relative_to(PACKAGE).parts if path.is_relative_to(PACKAGE) else ()
    return SourceFile(path, parts[0] if len(parts) > 1 else "", ast.parse(path.read_text("utf-8"), str(path)))


@functools.cache
def imported_modules(file: SourceFile) -> tuple[tuple[ast.stmt, str], ...]:
    """Each imported module with its statement, made absolute; `from a import b` gives `a` and `a.b`."""
    return tuple(_imported(file))


def _imported(file: SourceFile) -> Iterator[tuple[ast.stmt, str]]:
    for node in ast.walk(file.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node, alias.name
        elif isinstance(node, ast.ImportFrom):
            module = _absolute(file, node)
            yield node, module
            for alias in node.names:
                yield node, f"{module}.{alias.name}"


def _absolute(file: SourceFile, node: ast.ImportFrom) -> str:
    if not node.level:
        return node.module or ""
    package = ("calclib", *file.path.relative_to(PACKAGE).parts[:-1])
    base = package[: len(package) - node.level + 1]
    return ".".join((*base, *((node.module,) if node.module else ())))
