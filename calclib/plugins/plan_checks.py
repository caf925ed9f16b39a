"""What the check cell of a plan's notebook does: as that of an open practice set, for a problem by its seed."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from calclib.gradebook.notebook import text_digest
from calclib.plugins.practice_checks import NotRightYet, in_short_lines, next_help, solved, told_of_answer
from calclib.reading import CellText, answer_in
from calclib.releasing.seal import example
from calclib.wording import said

if TYPE_CHECKING:
    from calclib.items import Item

_MARKING = "first-practice"
drawn = lru_cache(maxsize=32)(example)
"""Draws a problem by item model, rounding policy and seed, once for all its cells."""


def check_practice(
    model: str,
    seed: str,
    part: str,
    *,
    answer: str,
    rounding: str,
    text: str,
    hints: bool = True,
    history: Sequence[str] | None = None,
) -> None:
    """Print the verdict on an answer of a plan's practice, what it may come from, and a hint if it isn't right.

    Args:
        model: The item model.
        seed: The seed from which the problem is drawn.
        part: Name of the part.
        answer: The name to which the answer is assigned.
        rounding: Name of the rounding policy.
        text: The digest of the problem's text in the notebook; what was drawn by another version isn't judged.
        hints: Whether a wrong answer brings hints; the check at the end has none.
        history: The cells that were run, latest last; by default those of the notebook.

    Raises:
        NotRightYet: nbgrader validates the notebook and the answer isn't right, or it is of another version.
        BadInput: there is no such item model, policy or part.
    """
    item: Item = drawn(model, rounding, seed)
    validates = os.environ.get("NBGRADER_EXECUTION") == "validate"
    if text != text_digest(item.stem, item.part(part).asked):
        lines, right = [said("check_cell.other_version_of_plan")], False
    else:
        from calclib.answers import judge_item, marking_policy

        found = answer_in(answer, history)
        typed = found.text if isinstance(found, CellText) else ""
        verdicts = judge_item(item, {part: typed}, marking_policy(_MARKING))
        verdict = next(one for one in verdicts if one.part == part)
        lines, right = told_of_answer(item, verdict, found, answer), solved(verdict)
        if hints and not validates:
            lines += next_help(item, verdict, (seed, 0, part))
    if validates and not right:
        raise NotRightYet(in_short_lines(lines))
    if not validates:
        print(in_short_lines(lines))  # noqa: T201 - what the cell is for
