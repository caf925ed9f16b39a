"""The plot of one's own number against the order."""

from __future__ import annotations

from fractions import Fraction

from calclib.plots import compared_html, compared_plot
from calclib.timeline import compared_runs

RUN = compared_runs(volume=Fraction(1000), minutes=Fraction(480), rate=Fraction(100))


def test_the_plot_carries_its_words_escaped() -> None:
    """What is said stands in the alternative text; signs of markup are text."""
    html = compared_html(RUN, "Only 800 mL <had> run.")
    assert 'alt="Plot of the volume infused over time' in html
    assert "Only 800 mL &lt;had&gt; run." in html
    assert len(html) < 16_000


def test_both_runs_are_drawn_from_the_timeline() -> None:
    """Two lines, named at their ends: the order reaches 1,000 mL at 8 h, one's own at 10 h."""
    axes = compared_plot(RUN, "").figure.axes[0]
    ordered, yours = axes.lines
    assert (8, 1000) in set(zip(ordered.get_xdata(), ordered.get_ydata(), strict=True))
    assert list(yours.get_xdata()) == [0, 10]
    assert {"ordered", "yours"} <= {text.get_text() for text in axes.texts}
