"""The lesson on infusions as a student meets it: in JupyterLab, in a browser."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.lab import FLAGS, chromium, running_lab

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

LESSON = Path(__file__).parents[2] / "course" / "08-secondary-infusions.ipynb"
pytestmark = pytest.mark.service("Chromium")
PATIENCE = 60_000  # milliseconds


@pytest.fixture(scope="module")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """The lesson, opened and run from top to bottom."""
    playwright = pytest.importorskip("playwright.sync_api")
    browser_path = chromium()
    assert browser_path, "no Chromium on this machine: install it with `apt-get install chromium`"
    folder, home = tmp_path_factory.mktemp("course"), tmp_path_factory.mktemp("home")
    shutil.copy(LESSON, folder)
    with running_lab(folder, home) as address, playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_path, args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 1400})
        page.set_default_timeout(PATIENCE)
        page.goto(address.format(path=LESSON.name))
        playwright.expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle", timeout=PATIENCE)
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        page.locator(".calclib-practice h3").wait_for(state="attached")
        yield page
        browser.close()


@pytest.fixture
def expect(lesson: Page) -> object:
    """Assertions that wait."""
    from playwright.sync_api import expect as waiting

    waiting.set_options(timeout=PATIENCE)
    return waiting


def explorer(page: Page) -> Locator:
    """The box with the sliders."""
    return page.locator(".calclib-controls").filter(has=page.get_by_role("slider"))


def scroll_to(place: Locator) -> None:
    """Bring a place into view. JupyterLab may take a cell out and put it in again while the page moves."""
    from playwright.sync_api import Error

    for _ in range(10):
        try:
            place.scroll_into_view_if_needed()
        except Error as error:
            if "not attached" not in str(error):
                raise
        else:
            return
    place.scroll_into_view_if_needed()


def test_no_cell_of_the_lesson_fails(lesson: Page, tmp_path: Path) -> None:
    """Every cell runs, and each plot carries its text."""
    assert lesson.locator(".jp-OutputArea-output[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    pictures = lesson.locator(".jp-OutputArea-output img")
    pictures.first.wait_for()
    assert all(picture.get_attribute("alt") for picture in pictures.all())
    lesson.screenshot(path=tmp_path / "lesson.png")


def test_moving_a_slider_changes_plot_and_sentence(lesson: Page, tmp_path: Path, expect: object) -> None:
    """By keyboard: arrow keys on a slider change what the sentence says."""
    box = explorer(lesson)
    scroll_to(box)
    sentence = box.locator(".calclib-infusion")
    before, picture = sentence.inner_text(), box.locator("img").get_attribute("src")
    slider = box.get_by_role("slider", name="Volume to be infused (mL)")
    slider.focus()
    for _ in range(30):
        lesson.keyboard.press("ArrowRight")
    expect(sentence).not_to_have_text(before)  # type: ignore[operator]
    expect(sentence).to_contain_text("at the secondary rate")  # type: ignore[operator]
    assert box.locator("img").get_attribute("src") != picture
    scroll_to(box.locator("img"))
    lesson.screenshot(path=tmp_path / "explorer.png")


def test_keys_on_a_slider_dont_reach_the_shortcuts_of_lab(lesson: Page, expect: object) -> None:
    """Typing "d d" on a slider deletes no cell."""
    cells = lesson.locator(".jp-Notebook .jp-Cell").count()
    slider = explorer(lesson).get_by_role("slider").first
    slider.focus()
    for key in "ddxb":
        lesson.keyboard.press(key)
    expect(explorer(lesson)).to_be_visible()  # type: ignore[operator]
    assert lesson.locator(".jp-Notebook .jp-Cell").count() == cells
