"""Plots with the words that stand for them. matplotlib loads when the first plot is drawn."""

from calclib.plots.class_report import fault_bars, item_difficulty_bars, score_histogram
from calclib.plots.compared import compared_html, compared_plot
from calclib.plots.devices import device_html, device_svg
from calclib.plots.infusion import infusion_figure, infusion_plot
from calclib.plots.infusion_text import describe, drug_sentence, outcome
from calclib.plots.papers import paper_html, paper_svg, picture_html
from calclib.plots.picture import Picture, as_html, as_svg

__all__ = [
    "Picture",
    "as_html",
    "as_svg",
    "compared_html",
    "compared_plot",
    "describe",
    "device_html",
    "device_svg",
    "drug_sentence",
    "fault_bars",
    "infusion_figure",
    "infusion_plot",
    "item_difficulty_bars",
    "outcome",
    "paper_html",
    "paper_svg",
    "picture_html",
    "score_histogram",
]
