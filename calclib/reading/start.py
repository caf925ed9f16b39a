"""The first cell of a set: from it on, an answer's cell is read as text and never run as code.

Whatever is typed as an answer then stops nothing: `answer_1 = 25 mL` is no Python, and is an answer all the same.
"""

from __future__ import annotations

from typing import Any

from calclib.reading.cells import CellText, read_answer_cell
from calclib.reading.ran_cells import ANSWER, answers_named, is_ours, note_id, notebook_shell, running_cell
from calclib.wording.sentences import said

_QUOTES = "\"'"


def start_set() -> None:
    """Let the cells of answers be read as text from here on, and say so; a second call changes nothing."""
    answers_as_text()
    print(said("check_cell.started"))  # noqa: T201 - this is what the cell is for


def answers_as_text() -> bool:
    """Let the cells of answers be read as text from here on; return whether that is new in this kernel."""
    shell = notebook_shell()
    transformers = getattr(shell, "input_transformers_cleanup", None)
    if transformers is None or any(getattr(one, "of_a_set", False) for one in transformers):
        return False
    transformers.insert(0, answer_lines)
    shell.events.register("post_run_cell", _noted)
    return True


def answer_as_code(source: str, cell_id: str = "") -> str | None:
    """Return the code that stands for an answer's cell: it keeps the text, and says how to write it where that helps.

    Args:
        source: Source of the cell. It is never run.
        cell_id: The id of the cell, "" where nothing tells it.

    Returns:
        The code, or None if the cell holds no answer.
    """
    names = answers_named(source)
    if is_ours(source) or not (names or cell_id.endswith(ANSWER)):
        return None
    name = names[0] if names else None
    found = read_answer_cell(source, name)
    if not isinstance(found, CellText):
        return f"print({said('check_cell.not_read', why=found.why)!r})\n"
    keeps = f"{name} = {found.text!r}\n" if name else ""
    if not found.text.strip() or _is_quoted(source, found):
        return keeps or "pass\n"
    return f"{keeps}print({said('check_cell.without_quotes', text=found.text.strip(), name=name or 'answer')!r})\n"


def _is_quoted(source: str, found: CellText) -> bool:
    """Whether the text stands between plain quotes."""
    line = source.split("\n")[found.line - 1]
    mark = next((sign for sign in line if sign in _QUOTES), None)
    return mark is not None and source.count(mark) > 1


def answer_lines(lines: list[str]) -> list[str]:
    """Return what the notebook runs in the place of a cell.

    Args:
        lines: The cell, each line with its end.
    """
    try:
        code = answer_as_code("".join(lines), running_cell())
    except Exception:  # noqa: BLE001 - the cell then runs as it stands
        return lines
    return lines if code is None else code.splitlines(keepends=True)


answer_lines.of_a_set = True  # type: ignore[attr-defined]


def _noted(result: Any) -> None:
    """Note the id of a cell that has run; it stands last in the history then."""
    info = getattr(result, "info", None)
    kept = getattr(getattr(notebook_shell(), "history_manager", None), "input_hist_raw", None)
    if info is not None and kept and kept[-1] == info.raw_cell:
        note_id(len(kept) - 1, getattr(info, "cell_id", None) or "")
