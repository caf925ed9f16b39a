"""Plots for a class report: scores, what was hard, what went wrong."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from fractions import Fraction

from calclib.errors import BadInput
from calclib.plots.drawing import BLUE, GRAY, PALE, SMALL, VERMILION, blank_figure, plain_axes
from calclib.plots.picture import Picture
from calclib.quantity.writing import percent_text
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import said

Percent = int | float | Fraction
BIN = 10
LABEL_WIDTH = 34


def score_histogram(scores: Sequence[Percent], cut: Percent | None = None, *, more: str = "") -> Picture:
    """How many students have which score, with the cut score marked.

    Args:
        scores: One score a student [%], 0 to 100.
        cut: The score needed to pass [%]; None for none.
        more: What the alternative text adds, such as which of these don't pass by another rule.

    Raises:
        BadInput: A score lies outside of 0 to 100.
    """
    if any(not 0 <= score <= 100 for score in scores):
        raise BadInput(fact("errors_plots.no_percentage"))
    bins = [0] * (100 // BIN)
    for score in scores:
        bins[min(int(score // BIN), len(bins) - 1)] += 1
    figure = blank_figure(6.4, 2.9)
    axes = figure.subplots()
    plain_axes(axes, said("plot.students_by_score"))
    bars = axes.bar([BIN * n for n in range(len(bins))], bins, width=BIN * 0.94, align="edge", color=BLUE)
    axes.bar_label(bars, labels=[str(n) if n else "" for n in bins], fontsize=SMALL)
    axes.set_xlim(0, 100)
    axes.set_xticks(range(0, 101, BIN))
    axes.set_ylim(0, max([*bins, 1]) * 1.18)
    axes.set_yticks([])
    axes.set_xlabel(said("plot.score"), fontsize=SMALL)
    if cut is not None:
        axes.axvline(float(cut), color=VERMILION, linewidth=2)
        side, shift = ("right", -4) if cut > 50 else ("left", 4)
        axes.annotate(
            said("plot.cut", cut=_percent(cut)),
            (float(cut), axes.get_ylim()[1]),
            xytext=(shift, -2),
            textcoords="offset points",
            ha=side,
            va="top",
            fontsize=SMALL,
            color=VERMILION,
        )
    return Picture(figure, _histogram_text(scores, cut) + more)


def item_difficulty_bars(rows: Sequence[tuple[str, int, int]]) -> Picture:
    """Share of right answers for each item, hardest first.

    Args:
        rows: Item, how many answered it rightly, how many answered it.
    """
    shares = sorted(((label, right, of) for label, right, of in rows if of), key=lambda row: (row[1] / row[2], row[0]))
    notes = [said("plot.share", percent=f"{100 * right / of:.0f}", count=right, of=of) for _, right, of in shares]
    labels = [row[0] for row in shares]
    picture = _bars(said("plot.right_answers"), labels, [right / of for _, right, of in shares], notes)
    return picture._replace(alt=said("plot.right_answers_chart", bars=_told(labels, notes))) if labels else picture


def fault_bars(rows: Sequence[tuple[str, int]], *, most: int = 10) -> Picture:
    """How often each mistake was found, most frequent first.

    Args:
        rows: The mistake in words, how many answers show it: those to which no other known mistake leads.
        most: How many mistakes are drawn at most.
    """
    found = sorted((row for row in rows if row[1]), key=lambda row: (-row[1], row[0]))[:most]
    top = max((count for _, count in found), default=1)
    notes = [str(count) for _, count in found]
    labels = [label for label, _ in found]
    picture = _bars(said("plot.mistakes_found"), labels, [count / top for _, count in found], notes)
    return picture._replace(alt=said("plot.mistakes_found_chart", bars=_told(labels, notes))) if labels else picture


def _told(labels: Sequence[str], notes: Sequence[str]) -> tuple[Fact, ...]:
    """The bars in words."""
    return tuple(fact("plot.bar", label=label, note=note) for label, note in zip(labels, notes, strict=True))


def _bars(title: str, labels: Sequence[str], lengths: Sequence[float], notes: Sequence[str]) -> Picture:
    """Horizontal bars from the top down; lengths from 0 to 1."""
    wrapped = [textwrap.fill(label, LABEL_WIDTH) for label in labels]
    lines = sum(text.count("\n") + 1 for text in wrapped)
    figure = blank_figure(6.8, 0.6 + 0.16 * lines + 0.16 * max(len(labels), 1))
    axes = figure.subplots()
    plain_axes(axes, title)
    axes.grid(visible=False)
    axes.set_xticks([])
    axes.spines["bottom"].set_visible(False)
    if not labels:
        axes.set_yticks([])
        axes.text(0, 0.5, said("plot.nothing"), transform=axes.transAxes, fontsize=SMALL, color=GRAY)
        return Picture(figure, said("plot.nothing_in", title=title))
    rows = range(len(labels))
    axes.barh(rows, [1] * len(labels), color=PALE, height=0.6)
    axes.barh(rows, lengths, color=BLUE, height=0.6)
    for row, note in zip(rows, notes, strict=True):
        axes.annotate(note, (1, row), xytext=(5, 0), textcoords="offset points", va="center", fontsize=SMALL)
    axes.set_yticks(rows, wrapped, fontsize=SMALL, color="black")
    axes.set_xlim(0, 1)
    axes.set_ylim(len(labels) - 0.5, -0.5)
    return Picture(figure, title)


def _histogram_text(scores: Sequence[Percent], cut: Percent | None) -> str:
    if not scores:
        return said("plot.no_scores")
    text = said("plot.scores", count=len(scores), least=_percent(min(scores)), most=_percent(max(scores)))
    if cut is None:
        return text
    reached = sum(score >= cut for score in scores)
    return f"{text} {said('plot.reached', count=reached, of=len(scores), cut=_percent(cut))}"


def _percent(score: Percent) -> str:
    return percent_text(score if isinstance(score, Fraction) else Fraction(score).limit_denominator(1000))
