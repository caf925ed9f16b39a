"""The plot of an infusion and the words that stand for it."""

from __future__ import annotations

import base64
import re
import subprocess
import sys

import pytest

from calclib.plots import as_html, as_svg, describe, infusion_figure, infusion_plot, outcome
from calclib.plots.infusion import _outside_labels, _stretches, _strip_label
from calclib.timeline import Bag, Entered, Flush, Hanging, Primary, Secondary, Timeline, infusion_timeline


def overfilled(until: int = 150) -> Timeline:
    """100 mL entered for a bag that holds 112 mL."""
    secondary = Secondary(Bag(100, overfill=7, additive=5, drug=1120), Entered(100, 100))
    return infusion_timeline(Hanging(primary=Primary(Bag(500), Entered(125)), secondary=secondary), until=until)


def test_description_tells_each_event_with_its_minute_and_what_arrived() -> None:
    """What the plot shows can be read: events in order, volumes and drug at the end."""
    text = describe(overfilled())
    assert "At 60 min: The volume entered for the secondary infusion has run; 12 mL is left" in text
    assert "its last 12 mL runs at the primary rate." in text
    assert text.endswith("1,120 mg of 1,120 mg of the drug has reached the patient.")
    assert text.index("At 60 min") < text.index("At 65.8 min")


def test_outcome_names_every_place_where_drug_is_left() -> None:
    """Drug in the tubing is told apart from drug in the bag."""
    alone = Secondary(Bag(50, drug=1000), Entered(100, 30), tubing_volume=5)
    timeline = infusion_timeline(Hanging(secondary=alone, shared_tubing_volume=15), until=60)
    assert outcome(timeline) == (
        "By 60 min, 30 mL of the secondary bag has run. 600 mg of 1,000 mg of the drug has reached the patient; "
        "100 mg is in the secondary tubing; 300 mg is in the tubing to the patient."
    )


def test_numbers_in_descriptions_are_written_the_safe_way() -> None:
    """No trailing zero, no bare decimal point, commas from 1,000 up."""
    text = describe(overfilled())
    assert not re.search(r"\d\.0\b|(?<!\d)\.\d|\d{4}", text)


def test_picture_carries_its_text_in_html_and_escapes_it() -> None:
    """The alternative text survives as an attribute, whatever characters are in it."""
    html = as_html(infusion_figure(overfilled()), 'a "quoted" <text>')
    assert html.startswith('<img alt="a &quot;quoted&quot; &lt;text&gt;"')
    picture = re.search(r"base64,([^\"]+)", html)
    assert picture is not None
    assert b"<svg" in base64.b64decode(picture.group(1))


def test_same_timeline_gives_the_same_bytes() -> None:
    """A plot can be compared in a regenerated file."""
    assert as_svg(infusion_figure(overfilled())) == as_svg(infusion_figure(overfilled()))


def test_plot_is_drawn_with_and_without_each_part() -> None:
    """Primary alone, secondary alone, flush, stretches in which nothing flows: all are drawn and described."""
    hangings = (
        Hanging(primary=Primary(Bag(50), Entered(125, 100))),
        Hanging(secondary=Secondary(Bag(50, drug=5), Entered(100, 30)), flush=Flush(10, 100), shared_tubing_volume=20),
        Hanging(secondary=Secondary(Bag(50), Entered(100)), mode="gravity"),
    )
    for hanging in hangings:
        picture = infusion_plot(infusion_timeline(hanging, until=90))
        assert describe(infusion_timeline(hanging, until=90)) in picture.alt
        assert "plug flow" in picture.alt
        assert as_svg(picture.figure)


def test_strip_joins_stretches_where_only_the_drug_changes() -> None:
    """The strip shows which bag flows and how fast, each once."""
    figure = infusion_figure(overfilled())
    texts = [text.get_text() for text in figure.axes[0].texts]
    assert texts[:3] == ["secondary 100 mL/h", "", "primary 125 mL/h"]  # 6 of 150 minutes leave no room for words


def test_importing_plots_doesnt_load_matplotlib() -> None:
    """Import stays light until the first plot is drawn."""
    code = "import calclib.plots, sys; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0


def test_drawing_leaves_global_plot_state_alone() -> None:
    """No figure of ours is left in the plotting library's list of windows."""
    code = (
        "from calclib.plots import score_histogram; score_histogram([90]); import sys; "
        "sys.exit('matplotlib.pyplot' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0


def overfilled_at(rate: int, until: int) -> Timeline:
    """50 mL entered at a rate for a bag that holds 112 mL: what is left runs at the primary rate."""
    secondary = Secondary(Bag(100, overfill=7, additive=5, drug=1120), Entered(rate, 50))
    return infusion_timeline(Hanging(primary=Primary(Bag(500), Entered(125)), secondary=secondary), until=until)


@pytest.mark.parametrize("shown", [30, 120, 840])
@pytest.mark.parametrize("rate", [25, 100, 300])
def test_every_stretch_of_the_strip_is_labeled(shown: int, rate: int) -> None:
    """However narrow, each has its label once, in it or above it; those above stand apart, and no line is crossed."""
    timeline = overfilled_at(rate, until=shown)
    axes = infusion_plot(timeline).figure.axes[0]
    labels = [text.get_text() for text in axes.texts if text.get_text() and not text.get_text().isdigit()]
    assert sorted(labels) == sorted(_strip_label(source, flow) for _, _, source, flow in _stretches(timeline))
    outside = _outside_labels(timeline)
    assert len({(row, round(at, 6)) for at, row, _ in outside}) == len(outside)
    for at, row, text in outside:
        reaches = at + len(text) * 0.06 / 5.7
        assert not [one for one, other, _ in outside if at < one < reaches and other >= row]


def test_a_plot_in_a_notebook_grows_with_the_text_around_it() -> None:
    """Its width is told in the size of that text, it scrolls by itself, and a keyboard reaches it."""
    html = infusion_plot(overfilled())._repr_html_()
    assert "width: 52.11em; max-width: none" in html  # 7.6 inches of 72 points, where text has 10.5
    assert html.startswith('<div role="region" aria-label="Plot" tabindex="0" style="overflow-x: auto">')
