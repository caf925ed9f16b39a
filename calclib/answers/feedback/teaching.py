"""Hints and worked solutions for an item of the bank."""

from __future__ import annotations

from calclib.answers.verdict import PartVerdict
from calclib.items.item import Item
from calclib.items.solution import solution_of
from calclib.models.bank import item_model
from calclib.models.model import ItemModel


def hint(
    item: Item, part: str, rung: int, *, verdict: PartVerdict | None = None, model: ItemModel | None = None
) -> str:
    """Return a hint: what is asked and what matters, the set-up with a gap, or the set-up whole.

    Args:
        item: The item.
        part: The part's name.
        rung: 1, 2 or 3.
        verdict: The verdict on the student's answer, so that the gap stands where it went wrong.
        model: The item's model, if it is none of the bank.

    Raises:
        BadInput: There is no such part, or the model has changed since.
    """
    cause = verdict.causes[0] if verdict is not None and verdict.causes else None
    solution = solution_of(item, model or item_model(item.model_id))
    lines = solution.hint(part, rung, step=cause.step if cause else "", given=cause.given if cause else "")
    return "\n".join(lines)


def worked(item: Item, part: str, *, method: str = "factors", model: ItemModel | None = None) -> str:
    """Return the worked solution of a part, one step a line.

    Args:
        item: The item.
        part: The part's name.
        method: factors (with units), ratio (and proportion) or formula.
        model: The item's model, if it is none of the bank.

    Raises:
        BadInput: There is no such part, or the model has changed since.
    """
    return "\n".join(solution_of(item, model or item_model(item.model_id)).worked(part, method=method))
