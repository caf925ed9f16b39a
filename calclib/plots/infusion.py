"""Plot of an infusion over time: which bag flows, what is left and infused, and the drug that arrives."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from calclib.plots.drawing import BLUE, GRAY, GREEN, SMALL, VERMILION, blank_figure, label_ends, plain_axes, plain_title
from calclib.plots.infusion_text import describe, events_by_minute, minutes
from calclib.plots.picture import Picture
from calclib.quantity import write_quantity
from calclib.timeline import PiecewiseLinear, Timeline
from calclib.wording import said

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

COLORS = {"secondary": VERMILION, "primary": BLUE, "flush": GREEN, "none": GRAY}
DASHES = {"secondary": "-", "primary": (0, (6, 2))}
WIDTH, LEFT, RIGHT, GAP = 7.6, 0.55, 1.35, 0.4  # inches
STRIP_HEIGHT, VOLUME_HEIGHT, DRUG_HEIGHT, LINE_OF_TEXT = 0.45, 1.5, 1.3, 0.2  # inches
NARROWEST_LABEL = 0.2  # share of the time axis that a label inside of the strip takes
WIDEST_LETTER = 0.075  # inches


def infusion_plot(timeline: Timeline) -> Picture:
    """The plot of an infusion, with its description.

    Args:
        timeline: The infusion over time.
    """
    moments = events_by_minute(timeline)
    list_height = LINE_OF_TEXT * (sum(len(events) > 2 for _, events in moments) + len(moments) + 1) + 0.2
    drug = bool(timeline.drug.hung)
    heights = [STRIP_HEIGHT, VOLUME_HEIGHT, VOLUME_HEIGHT, *([DRUG_HEIGHT] if drug else []), list_height]
    end = float(timeline.until)
    outside = _outside_labels(timeline)
    figure, axes = _panels(heights, 1 + max((row for _, row, _ in outside), default=-1))
    for panel in axes[:-1]:
        panel.set_xlim(0, end)
    _flow_strip(axes[0], timeline)
    _label_outside(axes[0], outside, end)
    _volume_panel(axes[1], timeline, "remaining", said("plot.left_in_bag"))
    _volume_panel(axes[2], timeline, "infused", said("plot.infused"))
    if drug:
        _drug_panel(axes[3], timeline)
    _mark_events(axes[:-1], timeline)
    _list_events(axes[-1], timeline)
    _time_axis(axes[:-1], end)
    return Picture(figure, said("plot.infusion", told=describe(timeline)))


def infusion_figure(timeline: Timeline) -> Figure:
    """The plot alone."""
    return infusion_plot(timeline).figure


def _panels(heights: list[float], rows: int) -> tuple[Figure, list[Axes]]:
    """Panels below one another, placed by hand: an automatic layout would take longer than all the drawing.

    Above the strip there is room for rows of labels.
    """
    # Below the strip stand the numbers of the events, below the last plot the words of the time axis.
    gaps = [GAP + rows * LINE_OF_TEXT, GAP + LINE_OF_TEXT, *([GAP] * (len(heights) - 3)), GAP + LINE_OF_TEXT / 2]
    tall = sum(heights) + sum(gaps)
    figure = blank_figure(WIDTH, tall, layout=None)
    axes, top = [], tall
    for height, gap in zip(heights, gaps, strict=True):
        top -= gap + height
        place = (LEFT / WIDTH, top / tall, (WIDTH - LEFT - RIGHT) / WIDTH, height / tall)
        axes.append(figure.add_axes(place))
    return figure, axes


def _flow_strip(axes: Axes, timeline: Timeline) -> None:
    plain_axes(axes, said("plot.which_bag_flows"))
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.grid(visible=False)
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)
    end = float(timeline.until)
    for start, stop, source, rate in _stretches(timeline):
        flows = source != "none"
        color = COLORS[source] if flows else "white"
        hatch = None if flows else "////"
        axes.axvspan(start, stop, facecolor=color, edgecolor="white" if flows else GRAY, hatch=hatch, linewidth=1)
        text = _strip_label(source, rate) if (stop - start) / end >= NARROWEST_LABEL else ""
        box = None if flows else {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
        ink = "white" if flows else "black"
        axes.text((start + stop) / 2, 0.5, text, ha="center", va="center", color=ink, fontsize=SMALL, bbox=box)


def _strip_label(source: str, rate: Fraction) -> str:
    if source == "none":
        return said("plot.nothing_flows")
    return said("plot.flows", bag=source, rate=write_quantity(rate, "mL/h", 1))


def _outside_labels(timeline: Timeline) -> list[tuple[float, int, str]]:
    """The labels of stretches that are too narrow for them: middle of the stretch [share of the time axis], row, text.

    A label starts at its own line and stands above all later ones that it would run into, so that no line crosses one.
    """
    end = float(timeline.until)
    found: list[tuple[float, int, str]] = []
    for start, stop, source, rate in reversed(_stretches(timeline)):
        if (stop - start) / end < NARROWEST_LABEL:
            text, middle = _strip_label(source, rate), (start + stop) / 2 / end
            reaches = middle + len(text) * WIDEST_LETTER / (WIDTH - LEFT - RIGHT)
            found.append((middle, 1 + max((row for later, row, _ in found if later < reaches), default=-1), text))
    return found


def _label_outside(axes: Axes, labels: list[tuple[float, int, str]], end: float) -> None:
    """Labels above the strip, each with a line down to its stretch; the title stands above them."""
    plain_title(axes, said("plot.which_bag_flows"), (1 + max((row for _, row, _ in labels), default=-1)) * LINE_OF_TEXT)
    for middle, row, text in labels:
        high = 1 + (row + 0.5) * LINE_OF_TEXT / STRIP_HEIGHT
        axes.plot([middle * end] * 2, [0.85, high + 0.1], color="black", linewidth=0.9, clip_on=False)
        axes.annotate(
            text,
            (middle * end, high),
            xytext=(3, 0),
            textcoords="offset points",
            va="center",
            fontsize=SMALL,
            annotation_clip=False,
        )


def _stretches(timeline: Timeline) -> list[tuple[float, float, str, Fraction]]:
    """Segments, joined where only the drug in the fluid changes."""
    joined: list[tuple[float, float, str, Fraction]] = []
    for segment in timeline.segments:
        start = float(segment.start)
        if joined and joined[-1][2:] == (segment.source, segment.rate):
            start = joined.pop()[0]
        joined.append((start, float(segment.end), segment.source, segment.rate))
    return joined


def _volume_panel(axes: Axes, timeline: Timeline, what: str, title: str) -> None:
    plain_axes(axes, title)
    ends = []
    for name in ("primary", "secondary"):
        if getattr(timeline.hanging, name):
            curve: PiecewiseLinear = getattr(timeline, f"{name}_{what}")
            times, values = _numbers(curve)
            axes.plot(times, values, color=COLORS[name], linestyle=DASHES[name], linewidth=2, clip_on=False)
            ends.append((times[-1], values[-1], f"{name} {write_quantity(curve.last, 'mL', 1)}", COLORS[name]))
    axes.set_ylim(bottom=0)
    label_ends(axes, ends, inches=VOLUME_HEIGHT)


def _drug_panel(axes: Axes, timeline: Timeline) -> None:
    unit, hung = timeline.hanging.drug_unit, timeline.drug.hung
    plain_axes(axes, said("plot.drug_in_patient", unit=unit))
    times, values = _numbers(timeline.patient_drug)
    axes.plot(times, values, color="black", linewidth=2, clip_on=False)
    axes.axhline(float(hung), color=GRAY, linewidth=1, linestyle=":")
    axes.set_ylim(0, float(hung) * 1.12)
    last = timeline.patient_drug.last
    ends = [(times[-1], values[-1], said("plot.given", amount=write_quantity(last, unit, 1)), "black")]
    if last < hung:
        ends.append((times[-1], float(hung), said("plot.hung", amount=write_quantity(hung, unit, 1)), GRAY))
    label_ends(axes, ends, inches=DRUG_HEIGHT)


def _mark_events(panels: list[Axes], timeline: Timeline) -> None:
    end = float(timeline.until)
    last_x, level = -end, 0
    for number, (at, _) in enumerate(events_by_minute(timeline), start=1):
        x = float(at)
        for axes in panels:
            axes.axvline(x, color=GRAY, linewidth=0.9, linestyle=(0, (2, 2)), zorder=0.5)
        # Markers of events that follow closely step aside, so that each number can be read.
        level = level + 1 if x - last_x < 0.035 * end else 0
        last_x = x
        panels[0].annotate(
            str(number),
            (x, 0),
            xytext=(level * 14, -11),
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=SMALL,
            color="white",
            annotation_clip=False,
            bbox={"boxstyle": "circle,pad=0.25", "facecolor": "black", "edgecolor": "none"},
        )


def _list_events(axes: Axes, timeline: Timeline) -> None:
    axes.axis("off")
    lines = []
    for number, (at, events) in enumerate(events_by_minute(timeline), start=1):
        words = [event.short for event in events]
        lines.append(f"{number}   {minutes(at)}: {', '.join(words[:2])}")
        lines += [f"     {', '.join(words[2:])}"] if len(words) > 2 else []
    axes.text(0, 0, said("plot.assumed"), transform=axes.transAxes, va="bottom", fontsize=SMALL, color=GRAY)
    axes.text(0, 1, "\n".join(lines), transform=axes.transAxes, va="top", fontsize=SMALL, linespacing=1.4)


def _time_axis(panels: list[Axes], end: float) -> None:
    from matplotlib.ticker import MultipleLocator

    step = next((step for step in (5, 10, 15, 30, 60, 120, 240) if end / step <= 9), 1440)
    for axes in panels:
        axes.xaxis.set_major_locator(MultipleLocator(step))
        axes.tick_params(labelbottom=False)
    panels[0].tick_params(bottom=False)
    panels[-1].tick_params(labelbottom=True)
    panels[-1].set_xlabel(said("plot.minutes"), fontsize=SMALL)


def _numbers(curve: PiecewiseLinear) -> tuple[list[float], list[float]]:
    return [float(time) for time, _ in curve.points], [float(value) for _, value in curve.points]
