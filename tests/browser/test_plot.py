"""A plot of an infusion in a browser: it grows with the text around it, and is reached and moved by keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

from calclib.plots import infusion_plot
from tests.browser.accessibility import broken_rules
from tests.plots.test_infusion_plot import overfilled
from tests.widgets.devices.on_a_page import running_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.service("Chromium")
PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Plot</title>
<body style="font-size: {size}px"><main>{plot}</main></body></html>"""


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all pages."""
    with running_browser(chromium) as running:
        yield running


def shown(browser: Browser, *, width: int, size: int, zoom: int = 1) -> Page:
    """The plot in a window so wide, among text so large [px]; zoomed, the window holds so much less."""
    context = browser.new_context(viewport={"width": width // zoom, "height": 800}, device_scale_factor=zoom)
    page = context.new_page()
    page.set_content(PAGE.format(size=size, plot=infusion_plot(overfilled())._repr_html_()))
    page.wait_for_function("document.images[0].complete")
    return page


def wide(page: Page) -> float:
    """How wide the plot is [px of the page]."""
    return float(page.evaluate("document.images[0].getBoundingClientRect().width"))


@pytest.mark.parametrize(("change", "times"), [({"size": 28}, 2), ({"zoom": 2}, 1)])
def test_a_plot_grows_with_the_text(browser: Browser, change: dict[str, Any], times: int) -> None:
    """With text twice as large it is twice as wide; zoomed it keeps its width, and so is enlarged as the text is."""
    usual = wide(shown(browser, width=1280, size=14))
    page = shown(browser, **{"width": 1280, "size": 14, **change})
    assert wide(page) == pytest.approx(times * usual, rel=0.01)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert broken_rules(page) == ""


def test_a_plot_wider_than_the_window_is_moved_by_keyboard(browser: Browser) -> None:
    """On a phone it keeps the size of its words; Tab reaches it, and the arrows show the rest."""
    page = shown(browser, width=390, size=14)
    page.keyboard.press("Tab")
    region = page.get_by_role("region", name="Plot")
    assert region.evaluate("node => node === document.activeElement")
    for _ in range(30):
        page.keyboard.press("ArrowRight")
    page.wait_for_function("document.querySelector('[role=region]').scrollLeft > 200")
