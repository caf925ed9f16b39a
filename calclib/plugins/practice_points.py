"""The points of an answer in a practice notebook, where nbgrader runs it to grade it: hidden tests call this."""

from __future__ import annotations

from collections.abc import Sequence

from calclib.releasing.practice_set import practice_items, practice_sets


def practice_points(
    set_name: str, number: int, part: str, variable: str, history: Sequence[str] | None = None
) -> float:
    """Return the points of one answer, where nbgrader runs a practice notebook to grade it.

    Args:
        set_name: Name of the practice set.
        number: The problem, from 1.
        part: Name of the part.
        variable: The name to which the answer is assigned.
        history: The cells that were run, latest last; by default those of the notebook.
    """
    from calclib.answers import judge_item, marking_policy
    from calclib.reading import CellText, answer_in

    item = practice_items(set_name)[number - 1]
    found = answer_in(variable, history)
    text = found.text if isinstance(found, CellText) else ""
    verdicts = judge_item(item, {part: text}, marking_policy(practice_sets()[set_name].marking))
    return float(next(v.score for v in verdicts if v.part == part) * item.part(part).points)
