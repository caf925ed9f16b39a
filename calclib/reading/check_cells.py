"""What a check cell shows in a student's notebook: how the answer is read, never whether it is right."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import lru_cache

from calclib.reading.answers import read_answer
from calclib.reading.cells import BEHIND, CellText, read_answer_cell
from calclib.reading.problem_readings import PERCENT, context_from, read_in_problem
from calclib.reading.ran_cells import NotClear, RanCell, cell_of_answer, ran_cells, running_cell
from calclib.reading.records import Blank, Notice, Reading, Unit, Unread
from calclib.reading.start import answers_as_text
from calclib.wording.facts import fact, of_kind
from calclib.wording.sentences import said, sentence

_WRITE = {
    "quantity": fact("check_cell.write_quantity"),
    "clock": fact("check_cell.write_clock"),
    "choice": fact("check_cell.write_choice"),
    "setup": fact("check_cell.write_setup"),
}
_DOSE = "dose"


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
    unit: str | None = None,
    about: str = "",
    costs: str = "",
    history: Sequence[str] | None = None,
) -> int | None:
    """Print how the latest run of an answer cell is read, with its unsafe notation.

    Args:
        variable: The name to which the answer is assigned, such as "answer_1".
        asked: "quantity", "clock", "choice" or "setup".
        choices: The choices, for "choice".
        unit: The unit that is asked, as the question prints it; "" for a number alone, None where it isn't known.
        about: The problem's units and names, which tell how unclear words are meant.
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
        found = answer_in(variable, history)
        shown = without_answer(found, variable)
        if shown is None and isinstance(found, CellText):
            shown = _answer_shown(found, asked, choices, unit, about)
    except Exception as error:  # noqa: BLE001 - a student gets a sentence; a person looks at the answer
        shown = said("check_cell.error", error=type(error).__name__)
    if costs:
        shown = "\n  ".join((f"{shown}\n{said('check_cell.costs')}", *costs.split("; ")))
    if history is None and (late := of_red_text()):
        shown = f"{shown}\n{late}"
    print(shown)  # noqa: T201 - this is what the cell is for
    return 0 if os.environ.get("NBGRADER_EXECUTION") == "autograde" else None


def of_red_text() -> str:
    """Return what is said where the first cell of the set wasn't run, "" where it was; from then on nothing is red."""
    return said("check_cell.red_text") if answers_as_text() else ""


def answer_in(variable: str, history: Sequence[str] | None = None) -> CellText | Unread | None:
    """Return the text of the latest answer under a name among the cells that were run, None if there is none.

    Args:
        variable: The name to which the answer is assigned.
        history: The cells that were run, latest last; by default those of the notebook.
    """
    if history is None:
        found = cell_of_answer(variable, ran_cells(), running_cell())
    else:
        found = cell_of_answer(variable, [RanCell(source) for source in history])
    if isinstance(found, NotClear):
        return Unread(found.latest, fact("unread.another_cell_was_run", name=variable), 0)
    return None if found is None else read_answer_cell(found, variable)


def without_answer(found: CellText | Unread | None, variable: str) -> str | None:
    """Return what is said where a cell holds no answer that could be read at all; None where it holds a text.

    Args:
        found: What stands in the answer's cell.
        variable: The name to which the answer is assigned.
    """
    if found is None:
        return said("check_cell.run_the_cell", name=variable)
    if not isinstance(found, CellText):
        return said("check_cell.not_read", why=found.why)
    return said("check_cell.not_read", why=BEHIND) if found.behind else None


def read_as(reading: Reading, unit: str | None) -> str:
    """Return how an answer was read, and whether its unit is missing or another than the one asked.

    Args:
        reading: The reading.
        unit: The unit that is asked, as the question prints it; "" for a number alone, None where it isn't known.
    """
    if reading.value is None or unit is None:
        return said("check_cell.read_as", shown=reading.shown)
    wanted, typed = _unit_words(unit), _without_dose(reading.unit)
    if not unit:
        if typed:
            return said("check_cell.read_as_with_unit", shown=reading.shown)
        return said("check_cell.read_as", shown=reading.shown)
    if not reading.unit:
        return said("check_cell.read_as_no_unit", shown=reading.shown, unit=unit)
    if wanted is None or typed == _without_dose(wanted):
        return said("check_cell.read_as", shown=reading.shown)
    return said("check_cell.read_as_other_unit", shown=reading.shown, unit=unit)


def _without_dose(unit: Unit) -> list[tuple[str, int]]:
    """The words of a unit in one order; “per dose” may be said or left out."""
    return sorted((word, power) for word, power in unit if word != _DOSE)


@lru_cache(maxsize=1_000)
def _unit_words(unit: str) -> Unit | None:
    reading = read_answer(f"2 {unit}", "quantity")
    return reading.unit if isinstance(reading, Reading) else None


def _answer_shown(found: CellText, asked: str, choices: Sequence[str], unit: str | None, about: str) -> str:
    percent = unit == PERCENT
    reading = read_in_problem(
        found.text, asked, choices=choices, percent=percent, context=lambda: context_from(about, percent=percent)
    )
    if isinstance(reading, Blank):
        return said("check_cell.no_answer_yet")
    if isinstance(reading, Unread):
        return f"{said('check_cell.not_read', why=reading.why)}\n{sentence(_WRITE[asked])}"
    return "\n".join([read_as(reading, unit), *map(_unsafe, reading.notices)])


def _unsafe(notice: Notice) -> str:
    why, instead = of_kind("notation_why", notice.rule), of_kind("notation", notice.rule)
    return said("check_cell.unsafe_notation", why=why, instead=instead)
