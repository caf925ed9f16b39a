"""The cells that were run in a notebook's kernel, and which of them holds an answer.

Marking knows an answer's cell by its id. A kernel knows the ids of cells only from `start_set` on, and only where the
program that runs the notebook tells them; without them a cell is known by the name in it, and by its place.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from typing import Any, NamedTuple

from calclib.reading.cells import assigned_names, same_name, says_anything

CHECKS = ("show_answer(", "check_answer(", "check_practice(")
STARTS = "start_set("
ANSWER, CHECK = "-answer", "-check"
"""How the ids of these cells end."""
_SOME_ANSWER = re.compile(r"answer_?\d+", re.IGNORECASE)
_ids: dict[int, str] = {}
"""The ids of cells by their place in the history, as far as the kernel was told them."""


class RanCell(NamedTuple):
    """A cell that was run: its source as it was typed, and its id ("" where nothing tells it)."""

    source: str
    cell_id: str = ""


class NotClear(NamedTuple):
    """Two cells of which either may hold the answer."""

    latest: str


def ran_cells() -> tuple[RanCell, ...]:
    """Return the cells that were run in this kernel, latest last."""
    shell = notebook_shell()
    # As typed: what a notebook makes of `5 mL?` or `!5` before it runs is nobody's answer.
    kept: Any = getattr(getattr(shell, "history_manager", None), "input_hist_raw", None)
    raw: Sequence[Any] = getattr(sys.modules.get("__main__"), "In", ()) if kept is None else kept
    return tuple(RanCell(cell, _ids.get(place, "")) for place, cell in enumerate(raw) if isinstance(cell, str))


def notebook_shell() -> Any:
    """Return the shell of the notebook's kernel, None outside of one."""
    shell = getattr(sys.modules.get("__main__"), "get_ipython", None)
    return shell() if callable(shell) else None


def running_cell() -> str:
    """Return the id of the cell that is being run, "" where nothing tells it."""
    parent = getattr(notebook_shell(), "get_parent", None)
    found = parent() if callable(parent) else None
    metadata = found.get("metadata") if isinstance(found, dict) else None
    cell_id = metadata.get("cellId") if isinstance(metadata, dict) else None
    return cell_id if isinstance(cell_id, str) else ""


def note_id(place: int, cell_id: str) -> None:
    """Note the id of the cell at a place in the history."""
    if cell_id:
        _ids[place] = cell_id


def answers_named(source: str) -> tuple[str, ...]:
    """Return the names of answers to which something is assigned in a cell, as they are typed there."""
    return tuple(name for name in assigned_names(source) if _SOME_ANSWER.fullmatch(name))


def is_ours(source: str) -> bool:
    """Tell whether a cell is one of the set's own that hold no answer: a check, or the start."""
    return any(sign in source for sign in (*CHECKS, STARTS))


def cell_of_answer(variable: str, ran: Sequence[RanCell], check_id: str = "") -> str | NotClear | None:
    """Return the source of the cell that holds an answer as it was run last; None if none was run.

    Args:
        variable: The name to which the answer is assigned.
        ran: The cells that were run, latest last.
        check_id: The id of the answer's check cell, "" where nothing tells it.
    """
    cells = [cell for cell in ran if cell.source.strip() and not is_ours(cell.source)]
    if check_id.endswith(CHECK):
        own = f"{check_id.removesuffix(CHECK)}{ANSWER}"
        if found := [cell.source for cell in cells if cell.cell_id == own]:
            return found[-1]
        cells = [cell for cell in cells if not cell.cell_id]
    named = next((at for at in reversed(range(len(cells))) if _bears(cells[at].source, variable)), None)
    last = len(cells) - 1
    # Its name may be gone and the cell be the right one: it is then the one run right before.
    if last >= 0 and last != named and not answers_named(cells[last].source) and says_anything(cells[last].source):
        return cells[last].source if named is None else NotClear(cells[last].source)
    return None if named is None else cells[named].source


def _bears(source: str, variable: str) -> bool:
    """Whether something is assigned to an answer's name in a cell, also where a person has to look what."""
    if any(same_name(name, variable) for name in assigned_names(source)):
        return True
    return re.search(rf"(?<!\w){re.escape(variable)}\s*[-+*/%]?=(?!=)", source) is not None
