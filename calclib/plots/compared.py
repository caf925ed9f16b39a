"""Plot of an infusion as ordered against the same bag at one's own number."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from calclib.plots.drawing import BLUE, SMALL, VERMILION, blank_figure, label_ends, plain_axes
from calclib.plots.picture import Picture, as_html
from calclib.timeline import Comparison, PiecewiseLinear
from calclib.wording import said

if TYPE_CHECKING:
    from matplotlib.axes import Axes

HEIGHT = 2.0  # inches
HOUR = 60


def compared_plot(run: Comparison, words: str) -> Picture:
    """Return the plot of two runs with the words that stand for it.

    Args:
        run: The runs.
        words: What is said of them.
    """
    figure = blank_figure(6.4, HEIGHT + 0.75, layout=None)
    wide, tall = 6.4, HEIGHT + 0.75
    axes = figure.add_axes((0.55 / wide, 0.42 / tall, (wide - 0.55 - 1.1) / wide, (HEIGHT - 0.1) / tall))
    plain_axes(axes, said("plot.infused"))
    until = float(run.yours.until)
    axes.set_xlim(0, until / HOUR)
    axes.set_ylim(0, float(run.volume) * 1.1)
    ends = []
    for curve, color, dashes, name in (
        (run.ordered.primary_infused, BLUE, (0, (6, 2)), said("plot.ordered")),
        (run.yours.primary_infused, VERMILION, "-", said("plot.yours")),
    ):
        times, values = _line(axes, curve, color, dashes)
        ends.append((times[-1], values[-1], name, color))
    label_ends(axes, ends, inches=HEIGHT)
    axes.set_xlabel(said("plot.hours"), fontsize=SMALL)
    return Picture(figure, said("run.picture", said=words))


@lru_cache(maxsize=512)
def compared_html(run: Comparison, words: str) -> str:
    """Return the plot as an `<img>` with its words, the same text each time. Arguments as for `compared_plot`."""
    return as_html(*compared_plot(run, words), words_as_text=True)


def _line(axes: Axes, curve: PiecewiseLinear, color: str, dashes: object) -> tuple[list[float], list[float]]:
    times, values = [float(time) / HOUR for time, _ in curve.points], [float(value) for _, value in curve.points]
    axes.plot(times, values, color=color, linestyle=dashes, linewidth=2, clip_on=False)
    return times, values
