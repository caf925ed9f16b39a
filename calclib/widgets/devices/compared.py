"""What one's own number would do: two runs of one bag in a light drawing, with their words."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from calclib.answers import PartVerdict, run_of, run_words
from calclib.items import Item
from calclib.reading import Reading
from calclib.timeline import Comparison, PiecewiseLinear
from calclib.widgets.devices.scripts import script, style


class ComparedRuns(anywidget.AnyWidget):
    """Two runs of one bag over time.

    Args:
        run: The runs.
        words: What is said of them; all that the drawing shows.
    """

    _esm = script("compared")
    _css = style()
    words = traitlets.Unicode().tag(sync=True)
    ordered: traitlets.List[Any] = traitlets.List().tag(sync=True)
    yours: traitlets.List[Any] = traitlets.List().tag(sync=True)
    until = traitlets.Float().tag(sync=True)
    most = traitlets.Float().tag(sync=True)

    def __init__(self, run: Comparison, words: str) -> None:
        super().__init__(
            words=words,
            ordered=_points(run.ordered.primary_infused),
            yours=_points(run.yours.primary_infused),
            until=float(run.yours.until),
            most=float(run.volume),
        )


def what_your_number_would_do(item: Item, verdict: PartVerdict, *, final: bool = False) -> ComparedRuns | None:
    """Return the run of a wrong answer; None where it was right, sets no infusion, or would tell a number of the key.

    Args:
        item: The problem.
        verdict: What was found of the answer.
        final: Whether the answer is judged for good, so that the key may be told.
    """
    reading = verdict.reading
    if verdict.right or not isinstance(reading, Reading) or reading.value is None:
        return None
    run = run_of(item, verdict.part, reading.value, reading.unit, final=final)
    return None if run is None else ComparedRuns(run, run_words(run, reading.shown))


def _points(curve: PiecewiseLinear) -> list[list[float]]:
    """The corners of a curve, for drawing alone: minutes and mL."""
    return [[float(time), float(value)] for time, value in curve.points]
