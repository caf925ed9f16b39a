"""What a check cell shows in a student's notebook: how the answer is read, never whether it is right."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Sequence

from calclib.reading.answers import read_answer
from calclib.reading.cells import BEHIND, CellText, read_answer_cell
from calclib.reading.records import Blank, Notice, Unread
from calclib.wording.facts import fact, of_kind
from calclib.wording.sentences import said, sentence

_CHECK = "show_answer("
_WRITE = {
    "quantity": fact("check_cell.write_quantity"),
    "clock": fact("check_cell.write_clock"),
    "choice": fact("check_cell.write_choice"),
    "setup": fact("check_cell.write_setup"),
}
_ANY_ANSWER = re.compile(r"\banswer_\d+\b")


class NotJudgedHere(Exception):
    """nbgrader's Validate asks whether answers pass; a notebook that is handed out holds no key and can't say so."""

    def __str__(self) -> str:
        """Return what the student reads."""
        # nbgrader cuts longer lines.
        return "\n".join((said("check_cell.not_judged_here"), said("check_cell.judged_later")))

    def _render_traceback_(self) -> list[str]:
        # Jupyter asks for this in place of a traceback, which says nothing to a student.
        return [str(self)]


def show_answer(
    variable: str,
    *,
    asked: str,
    choices: Sequence[str] = (),
    costs: str = "",
    history: Sequence[str] | None = None,
) -> int | None:
    """Print how the latest run of an answer cell is read, with its unsafe notation.

    Args:
        variable: The name to which the answer is assigned, such as "answer_1".
        asked: "quantity", "clock", "choice" or "setup".
        choices: The choices, for "choice".
        costs: What can cost points in the set, split by semicolons; "" where nothing is said of that.
        history: The cells that were run, latest last; by default those of the notebook. The answer is taken from the
            text of its cell, not from the variable, so an answer without quotes is read too.

    Returns:
        None, so that nothing but the text shows. Where nbgrader runs the notebook to grade it, 0: a check cell knows
        no answer, and without a number nbgrader would give full marks.

    Raises:
        NotJudgedHere: nbgrader validates the notebook: it would say that an answer passes which nobody has judged.
    """
    if os.environ.get("NBGRADER_EXECUTION") == "validate":
        raise NotJudgedHere
    try:
        shown = _answer_shown(answer_in(variable, history), variable, asked, choices)
    except Exception as error:  # noqa: BLE001 - a student gets a sentence; a person looks at the answer
        shown = said("check_cell.error", error=type(error).__name__)
    if costs:
        shown = "\n  ".join((f"{shown}\n{said('check_cell.costs')}", *costs.split("; ")))
    print(shown)  # noqa: T201 - this is what the cell is for
    return 0 if os.environ.get("NBGRADER_EXECUTION") == "autograde" else None


def answer_in(variable: str, history: Sequence[str] | None = None) -> CellText | Unread | None:
    """Return the text of the latest answer under a name among the cells that were run, None if there is none.

    Args:
        variable: The name to which the answer is assigned.
        history: The cells that were run, latest last; by default those of the notebook.
    """
    source = _latest(variable, _notebook_history() if history is None else history)
    return None if source is None else read_answer_cell(source, variable)


def _notebook_history() -> Sequence[str]:
    # A notebook's kernel keeps the cells that were run under this name in the main module.
    history = getattr(sys.modules.get("__main__"), "In", ())
    return [cell for cell in history if isinstance(cell, str)]


def _latest(variable: str, history: Sequence[str]) -> str | None:
    assigned = re.compile(rf"^\s*{re.escape(variable)}\s*[:=]", re.MULTILINE)
    cells = [source for source in history if _CHECK not in source]
    for source in reversed(cells):
        if assigned.search(source):
            return source
    # The name may be gone and the cell be the right one: the marker knows it by its id, here it is the one just run.
    return cells[-1] if cells and cells[-1].strip() and not _ANY_ANSWER.search(cells[-1]) else None


def _answer_shown(found: CellText | Unread | None, variable: str, asked: str, choices: Sequence[str]) -> str:
    if found is None:
        return said("check_cell.run_the_cell", name=variable)
    if not isinstance(found, CellText):
        return said("check_cell.not_read", why=found.why)
    if found.behind:
        return said("check_cell.not_read", why=BEHIND)
    reading = read_answer(found.text, asked, choices={choice: choice for choice in choices})
    if isinstance(reading, Blank):
        return said("check_cell.no_answer_yet")
    if isinstance(reading, Unread):
        return f"{said('check_cell.not_read', why=reading.why)}\n{sentence(_WRITE[asked])}"
    return "\n".join([said("check_cell.read_as", shown=reading.shown), *map(_unsafe, reading.notices)])


def _unsafe(notice: Notice) -> str:
    why, instead = of_kind("notation_why", notice.rule), of_kind("notation", notice.rule)
    return said("check_cell.unsafe_notation", why=why, instead=instead)
