"""Each lesson in JupyterLab by the rules of accessibility: what its cells show, in both themes and widths."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.accessibility import broken_rules
from tests.browser.lab import FLAGS, THEMES, running_lab

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

COURSE = Path(__file__).parents[2] / "course"
LESSONS = sorted(path.name for path in COURSE.glob("[0-9]*.ipynb"))
pytestmark = pytest.mark.service("Chromium")
PATIENCE = 120_000  # milliseconds
ALWAYS = LESSONS[-1:]
"""Lessons that are looked at in each run with services; the others in the full tier."""


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all lessons."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        running = driver.chromium.launch(executable_path=chromium, args=FLAGS)
        yield running
        running.close()


def opened(browser: Browser, address: str, lesson: str, width: int) -> Page:
    """A lesson, run from top to bottom, with all its cells on the page."""
    from playwright.sync_api import expect

    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.set_default_timeout(PATIENCE)
    page.goto(address.format(path=lesson))
    status = page.locator("#jp-main-statusbar")
    expect(status).to_contain_text("| Idle", timeout=PATIENCE)
    # The list of files would leave 22 of 390 px for the lesson: whoever reads on a phone closes it.
    page.locator(".jp-SideBar.jp-mod-left .lm-mod-current").first.click()
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    page.get_by_role("group", name="Practice problems").first.locator("h3").wait_for()
    expect(status).to_contain_text("| Idle", timeout=PATIENCE)
    page.set_viewport_size({"width": width, "height": 900})
    return page


@pytest.mark.parametrize(
    ("width", "scheme"),
    [
        pytest.param(390, "dark"),
        *(pytest.param(*look, marks=pytest.mark.full) for look in ((390, "light"), (1440, "light"), (1440, "dark"))),
    ],
)
@pytest.mark.parametrize(
    "lesson", [name if name in ALWAYS else pytest.param(name, marks=pytest.mark.full) for name in LESSONS]
)
def test_what_a_lesson_shows_breaks_no_rule(
    browser: Browser, lesson: str, width: int, scheme: str, tmp_path: Path
) -> None:
    """Names, roles and contrast by WCAG 2.1 A and AA of every output of every cell, in the theme of the notebook."""
    folder, home = tmp_path / "course", tmp_path / "home"
    folder.mkdir()
    home.mkdir()
    shutil.copy(COURSE / lesson, folder)
    with running_lab(folder, home, theme=scheme) as address:
        page = opened(browser, address, lesson, width)
        assert page.locator("body").get_attribute("data-jp-theme-name") == THEMES[scheme]
        assert page.locator(".jp-OutputArea-output").count() > 10
        page.screenshot(path=tmp_path / f"{lesson}-{width}-{scheme}.png")
        found = broken_rules(page, ".jp-OutputArea-output")
        page.close()
    assert found == ""
