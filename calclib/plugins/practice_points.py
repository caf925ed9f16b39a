"""The points of an answer in a practice notebook that was released before check cells judged by themselves."""

from __future__ import annotations

from collections.abc import Sequence

from calclib.plugins.practice_checks import judged
from calclib.reading import answer_in
from calclib.releasing.practice_set import practice_items


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
    item = practice_items(set_name)[number - 1]
    verdict = judged(set_name, item, {part: answer_in(variable, history)})[part]
    return float(verdict.score * item.part(part).points)
