"""A submitted notebook, read as data: bounded in size and depth, never run, never trusted."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from calclib.collecting.plain_file import Damaged
from calclib.records.part_marks import clean
from calclib.records.set_aside import SetAsideKind

_MOST_CELLS = 5_000
LONGEST_SOURCE = 100_000
_LONGEST_INTEGER = 18
_MOST_COMMAS = 1_000_000
_BLANK = re.compile(r"""\s*answer_\d+ = ""\s*(?:\n\#[^\n]*\s*)?""")
_OF_A_NOTEBOOK = frozenset({"cells", "metadata", "nbformat", "nbformat_minor"})


class TypedCell(NamedTuple):
    """What is left of one cell for marking: its kind, its ids and its source."""

    kind: str
    grade_id: str
    source: str


@dataclass(frozen=True)
class SubmittedNotebook:
    """The cells of a submitted notebook, and what its metadata says of whom it was made for.

    Attributes:
        made_for: The pseudonym.
        set_name: The set.
        tag: The tag that ties it to its record.
        cells: The cells.
        raw: Each cell as it came, for its outputs and attachments.
        beside: The metadata of the notebook and what else it holds beside its cells.
    """

    made_for: str
    set_name: str
    tag: str
    cells: tuple[TypedCell, ...]
    raw: tuple[Mapping[str, Any], ...] = field(default=(), compare=False, repr=False)
    beside: Mapping[str, Any] = field(default_factory=dict, compare=False, repr=False)


def read_notebook(data: bytes) -> SubmittedNotebook | Damaged:
    """Return the notebook that `data` holds, or why it can't be read."""
    if not data.strip():
        return Damaged(SetAsideKind.EMPTY)
    # Empty lists by the million take seconds and hundreds of megabytes; Jupyter writes nothing of the kind.
    if data.count(b",") > _MOST_COMMAS:
        return Damaged(SetAsideKind.TOO_MANY_PARTS)
    try:
        tree = json.loads(data.decode("utf-8-sig"), parse_constant=_refuse_constant, parse_int=_small_integer)
    except RecursionError:
        return Damaged(SetAsideKind.TOO_DEEP)
    except ValueError as error:
        return Damaged(SetAsideKind.NOT_WELL_FORMED, _short(error))
    if not isinstance(tree, dict):
        return Damaged(SetAsideKind.NO_NOTEBOOK)
    version, cells = tree.get("nbformat"), tree.get("cells")
    if version != 4:
        return Damaged(SetAsideKind.OLDER_FORMAT if version in (1, 2, 3) else SetAsideKind.OTHER_FORMAT)
    if not isinstance(cells, list):
        return Damaged(SetAsideKind.NO_CELLS)
    if len(cells) > _MOST_CELLS:
        return Damaged(SetAsideKind.TOO_MANY_CELLS, str(_MOST_CELLS))
    strays = [cell for cell in cells if not isinstance(cell, dict)]
    cells = [cell for cell in cells if isinstance(cell, dict)]
    metadata = tree.get("metadata")
    ours = _table(_table(metadata).get("calclib"))
    return SubmittedNotebook(
        made_for=_word(ours.get("made_for")),
        set_name=_word(ours.get("set")),
        tag=_word(ours.get("tag")),
        cells=tuple(_cell(cell) for cell in cells),
        raw=tuple(cells),
        beside={
            **{key: value for key, value in tree.items() if key not in _OF_A_NOTEBOOK},
            **(metadata if isinstance(metadata, dict) else {"metadata": metadata} if metadata else {}),
            **({"cells": strays} if strays else {}),
            **({"nbformat_minor": minor} if isinstance(minor := tree.get("nbformat_minor"), str) else {}),
        },
    )


def is_untouched(data: bytes) -> bool:
    """Tell whether a notebook can be read and nothing was typed into any of its answer cells."""
    notebook = read_notebook(data)
    if isinstance(notebook, Damaged):
        return False
    answers = [cell.source for cell in notebook.cells if cell.grade_id.endswith("-answer")]
    return bool(answers) and all(_BLANK.fullmatch(source) for source in answers)


def _cell(cell: Mapping[str, Any]) -> TypedCell:
    meta = _table(_table(cell.get("metadata")).get("nbgrader"))
    # Jupyter keeps the cell's own id where the metadata of nbgrader was lost; we write the same word into both.
    name = _word(meta.get("grade_id")) or _word(cell.get("id"))
    return TypedCell(_word(cell.get("cell_type")), name, _source(cell.get("source")))


def _source(source: object) -> str:
    if isinstance(source, list):
        try:
            source = "".join(source)
        except TypeError:
            source = "".join(line for line in source if isinstance(line, str))
    return clean(source[:LONGEST_SOURCE]) if isinstance(source, str) else ""


def _table(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _word(value: object) -> str:
    return clean(value) if isinstance(value, str) and len(value) <= 200 else ""


def _refuse_constant(name: str) -> None:
    raise ValueError(f"it holds {name}")


def _small_integer(digits: str) -> int:
    # Turning very many digits into a number takes time that grows with their square.
    if len(digits) > _LONGEST_INTEGER:
        raise ValueError("it holds an endless number")
    return int(digits)


def _short(error: ValueError) -> str:
    if isinstance(error, json.JSONDecodeError):
        return f"line {error.lineno}"
    return "not UTF-8" if isinstance(error, UnicodeDecodeError) else str(error)[:60]
