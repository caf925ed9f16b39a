"""Drawings of devices: the same each time, small, in grays, with words and without the value."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from calclib.items import Drawing
from calclib.models.devices import device, devices
from calclib.plots import device_html, device_svg

MOST_BYTES = 8_000
LEVELS = {
    "syringe_1_mL": "0.37",
    "syringe_3_mL": "1.7",
    "syringe_5_mL": "3.4",
    "syringe_10_mL": "6.8",
    "insulin_syringe_50_units": "23",
    "insulin_syringe_100_units": "64",
    "medicine_cup_30_mL": "12.5",
    "bag_1000_mL": "350",
    "bag_500_mL": "180",
    "drip_chamber": "22",
}


def drawing(name: str) -> Drawing:
    """A device with its level."""
    return Drawing("level", device(name), Fraction(LEVELS[name]))


def test_each_device_is_drawn_here() -> None:
    """No device is left out of these tests."""
    assert set(LEVELS) == set(devices())


@pytest.mark.parametrize("name", LEVELS)
def test_a_drawing_is_small_and_the_same_each_time(name: str) -> None:
    """Drawn twice it has the same bytes, few enough for a notebook with ten of them."""
    first, second = (device_svg(drawing(name)) for _ in range(2))
    assert first == second
    assert len(first) < MOST_BYTES


@pytest.mark.parametrize("name", LEVELS)
def test_a_drawing_is_grey_and_holds_no_value(name: str) -> None:
    """Every color is a gray, so that print loses nothing; no comment, title or id tells the level."""
    svg = device_svg(drawing(name)).decode()
    colors = set(re.findall(r"#([0-9a-f]{6})", svg.lower()))
    assert {color for color in colors if len({color[:2], color[2:4], color[4:]}) > 1} == set()
    told = re.findall(r"<!--(.*?)-->|<title>(.*?)</title>|id=\"(.*?)\"", svg, re.DOTALL)
    level = LEVELS[name]
    assert all(level != one.strip() for found in told for one in found) or name == "drip_chamber"


@pytest.mark.parametrize("name", LEVELS)
def test_the_level_moves_the_drawing(name: str) -> None:
    """One mark more is another drawing."""
    one = drawing(name)
    assert one.level is not None
    other = Drawing("level", one.device, one.level + one.device.mark)
    assert device_html(one) != device_html(other)


def test_words_go_with_the_drawing() -> None:
    """The alternative text is that of the drawing, and the picture needs nothing from outside."""
    html = device_html(drawing("bag_1000_mL"))
    assert html.startswith('<img alt="Drawing of a hanging 1,000 mL bag.')
    assert 'src="data:image/svg+xml;base64,' in html
    assert "http" not in html


def test_an_empty_syringe_is_drawn_too() -> None:
    """Where the worth of a mark is read, the plunger is pushed in."""
    html = device_html(Drawing("mark", device("syringe_10_mL"), None))
    assert "with its plunger pushed in" in html
