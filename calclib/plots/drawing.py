"""Figures and axes that look the same everywhere: colors that color-blind readers can tell apart, direct labels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Okabe and Ito, Color Universal Design, 2008; the darker ones, which also carry text on white.
BLUE = "#0072B2"
VERMILION = "#D55E00"
GREEN = "#00795B"  # bluish green, darkened to carry text
GRAY = "#595959"
PALE = "#E8E8E8"

SMALL = 9
NORMAL = 10
TITLE_PAD = 6  # points
POINTS_PER_INCH = 72
LABEL_STEP = 0.17  # inches from one label to the next


def blank_figure(width: float, height: float, *, layout: Literal["constrained"] | None = "constrained") -> Figure:
    """An empty figure [inches] that belongs to no window and no global state."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), layout=layout, facecolor="white")


def plain_axes(axes: Axes, title: str) -> None:
    """Take away what carries no information, and put the title where reading starts."""
    plain_title(axes, title)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.tick_params(labelsize=SMALL, colors=GRAY)
    axes.grid(axis="y", color=PALE, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.yaxis.set_major_formatter("{x:,.10g}")


def plain_title(axes: Axes, title: str, above: float = 0) -> None:
    """Put a title where reading starts.

    Args:
        axes: Over which it stands.
        title: Its words.
        above: How much room is left between [inches].
    """
    axes.set_title(
        title, loc="left", fontsize=NORMAL, fontweight="bold", color="black", pad=TITLE_PAD + above * POINTS_PER_INCH
    )


def label_ends(axes: Axes, ends: Sequence[tuple[float, float, str, str]], *, inches: float) -> None:
    """Write labels at the ends of lines, moved apart where they would overlap.

    Args:
        axes: Where; its limits must be set.
        ends: x, y, text, color of each label.
        inches: Height of the axes.
    """
    low, high = axes.get_ylim()
    step = (high - low) * LABEL_STEP / inches
    floor = low
    for x, y, text, color in sorted(ends, key=lambda end: end[1]):
        height = max(y, floor)
        floor = height + step
        axes.annotate(
            text,
            (x, height),
            xytext=(5, 0),
            textcoords="offset points",
            va="center",
            fontsize=SMALL,
            color=color,
            annotation_clip=False,
        )
