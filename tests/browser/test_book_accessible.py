"""The book for reading in a browser: by the rules of accessibility, on a phone, from a disk, by keyboard, on paper."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from calclib.pages.book import write_book
from tests.browser.accessibility import LOOKS, broken_rules
from tests.course.lesson_files import COURSE
from tests.widgets.devices.on_a_page import running_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.service("Chromium")
SAMPLE = ("02-orders-and-labels", "08-secondary-infusions")
"""Devices; boards in all forms, steps, lists."""
WITH_A_PLOT = 'question("secondary", "back-prime-volume")'
"""Its explanation draws an infusion."""
LETTER = 720
"""Pixels of a letter page between its margins."""


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all pages."""
    with running_browser(chromium) as running:
        yield running


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of two short lessons and the start page, in a folder with blanks in its name."""
    course = tmp_path_factory.mktemp("course")
    shutil.copy(COURSE / "start.ipynb", course)
    for name in SAMPLE:
        shorten(COURSE / f"{name}.ipynb", course)
    folder = tmp_path_factory.mktemp("a memory stick") / "the book"
    write_book(course, folder)
    return folder


def shorten(lesson: Path, course: Path) -> None:
    """Keep the text of a lesson, and of each control and each form of a board the first two, and a drawn infusion."""
    notebook = json.loads(lesson.read_text("utf-8"))
    counts: Counter[str] = Counter()
    cells = []
    for cell in notebook["cells"]:
        kind = str(re.findall(r"import (\w+);|gaps=(\w+|.all.)", "".join(cell["source"])))
        counts[kind] += 1
        if cell["cell_type"] == "markdown" or counts[kind] <= 2 or WITH_A_PLOT in cell["source"][-1]:
            cells.append(cell)
    (course / lesson.name).write_text(json.dumps({**notebook, "cells": cells}), "utf-8")


def opened(browser: Browser, path: Path, width: int, scheme: str, *, unfolded: bool = True) -> Page:
    """A page as a reader opens it, without scripts of its own; all answers unfolded."""
    context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    if unfolded:
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    return page


def rules_are_kept(browser: Browser, folder: Path, width: int, scheme: str) -> None:
    """Names, roles, order and contrast on each page; none is wider than the window; the dark is dark."""
    for path in sorted(folder.glob("*.html")):
        page = opened(browser, path, width, scheme)
        assert broken_rules(page) == "", path.name
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path.name
        ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (ground == "rgb(255, 255, 255)") == (scheme == "light"), path.name
        page.context.close()


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_pages_keep_the_rules_of_accessibility(browser: Browser, sample: Path, width: int, scheme: str) -> None:
    """WCAG 2.1 A and AA on the contents and two lessons, everything unfolded."""
    rules_are_kept(browser, sample, width, scheme)


@pytest.mark.full
@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_all_pages_keep_the_rules_of_accessibility(browser: Browser, width: int, scheme: str, tmp_path: Path) -> None:
    """The same of the whole book."""
    write_book(COURSE, tmp_path / "book")
    rules_are_kept(browser, tmp_path / "book", width, scheme)


def test_an_answer_is_opened_by_keyboard_and_the_next_lesson_follows(browser: Browser, sample: Path) -> None:
    """From the contents by Tab and Enter to a lesson, past its links to the first answer, and on to the next lesson."""
    page = opened(browser, sample / "index.html", 390, "light", unfolded=False)
    page.get_by_role("link", name="2. Orders, labels, devices").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/02-orders-and-labels.html")
    folded = page.locator("#question-1 ~ details")
    assert not folded.locator("p").first.is_visible()
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent").startswith("Answer to question 1"):
            break
    page.keyboard.press("Enter")
    assert folded.locator("p").first.is_visible()
    page.get_by_role("link", name="Next").first.press("Enter")
    page.wait_for_url("**/08-secondary-infusions.html")
    page.context.close()


def test_what_is_touched_is_large_enough(browser: Browser, sample: Path) -> None:
    """On a phone, what folds and what leads to another page is at least 44 pixels high."""
    page = opened(browser, sample / "08-secondary-infusions.html", 390, "light", unfolded=False)
    heights = page.evaluate("[...document.querySelectorAll('summary, .pages a')].map((one) => one.offsetHeight)")
    assert [height for height in heights if height and height < 44] == []
    page.context.close()


def test_on_paper_nothing_is_folded_or_cut_off(browser: Browser, sample: Path) -> None:
    """Answers stand below their questions, in black on white, and no drawing or table is wider than a letter page."""
    for path in sorted(sample.glob("*.html")):
        page = opened(browser, path, LETTER, "dark", unfolded=False)
        page.emulate_media(media="print")
        cut = page.evaluate(
            "[...document.querySelectorAll('img, svg, table')]"
            ".filter((one) => one.getBoundingClientRect().right > innerWidth).length"
        )
        folded = page.evaluate(
            "[...document.querySelectorAll('details > :last-child')]"
            ".filter((one) => one.getBoundingClientRect().height === 0).length"
        )
        ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (cut, folded, ground) == (0, 0, "rgb(255, 255, 255)"), path.name
        page.context.close()
