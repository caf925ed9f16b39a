"""What one's own number would do: two runs of one bag in a light drawing, with their words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from calclib.reading import Reading

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item
    from calclib.timeline import PiecewiseLinear


def what_your_number_would_do(item: Item, verdict: PartVerdict, *, final: bool = False) -> dict[str, Any] | None:
    """Return the runs of a wrong answer and what is said of them, for `compared.js`.

    None where the answer was right, sets no infusion, or the run would tell a number of the key.

    Args:
        item: The problem.
        verdict: What was found of the answer.
        final: Whether the answer is judged for good, so that the key may be told.
    """
    from calclib.answers import run_of, run_words

    reading = verdict.reading
    if verdict.right or not isinstance(reading, Reading) or reading.value is None:
        return None
    run = run_of(item, verdict.part, reading.value, reading.unit, final=final)
    if run is None:
        return None
    return {
        "words": run_words(run, reading.shown),
        "ordered": _points(run.ordered.primary_infused),
        "yours": _points(run.yours.primary_infused),
        "until": float(run.yours.until),
        "most": float(run.volume),
    }


def _points(curve: PiecewiseLinear) -> list[list[float]]:
    """The corners of a curve, for drawing alone: minutes and mL."""
    return [[float(time), float(value)] for time, value in curve.points]
