"""The start page and a lesson as a student meets them: one key, no teacher's menus, a sentence where it is asleep."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.lab import FLAGS, chromium, running_lab

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

COURSE = Path(__file__).parents[2] / "course"
LESSON = "03-one-dose.ipynb"
SET = "practice-pump-rates"
pytestmark = pytest.mark.service("Chromium")
PATIENCE = 60_000  # milliseconds


@pytest.fixture(scope="module")
def student(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[BrowserContext, str]]:
    """A browser, and the address of pages in a Lab that was started as the README says."""
    playwright = pytest.importorskip("playwright.sync_api")
    browser_path = chromium()
    assert browser_path, "no Chromium on this machine: install it with `apt-get install chromium`"
    folder, home = tmp_path_factory.mktemp("student") / "course", tmp_path_factory.mktemp("home")
    shutil.copytree(COURSE, folder)
    lesson = json.loads((folder / LESSON).read_text(encoding="utf-8"))
    # The first sections show what the whole lesson would.
    (folder / LESSON).write_text(json.dumps({**lesson, "cells": lesson["cells"][:12]}), encoding="utf-8")
    shutil.copy(COURSE.parent / "exercises" / SET / f"{SET}.ipynb", folder)
    options = ["--config", str(folder / ".lab" / "config.py")]
    with running_lab(folder, home, options) as address, playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_path, args=FLAGS)
        context = browser.new_context(viewport={"width": 1280, "height": 1400})
        context.set_default_timeout(PATIENCE)
        playwright.expect.set_options(timeout=PATIENCE)
        yield context, address
        browser.close()


def opened(student: tuple[BrowserContext, str], name: str) -> Page:
    """A page, when its kernel is ready."""
    from playwright.sync_api import expect

    context, address = student
    page = context.new_page()
    page.goto(address.format(path=name))
    expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle")
    return page


def choose(page: Page, menu: str, entry: str) -> None:
    """Choose an entry of a menu."""
    page.get_by_role("menuitem", name=menu, exact=True).click()
    page.get_by_role("menuitem", name=entry).first.click()


def test_no_teachers_menu_is_shown(student: Any) -> None:
    """Nothing of nbgrader stands in the menus, the side bars or the toolbar of a page."""
    page = opened(student, "start.ipynb")
    page.locator(".jp-Notebook .jp-Cell").first.wait_for()
    shown = [*page.locator("#jp-MainMenu .lm-MenuBar-item").all_inner_texts()]
    shown += [str(tab.get_attribute("title")) for tab in page.locator(".jp-SideBar .lm-TabBar-tab").all()]
    assert "Run" in shown
    assert not [words for words in shown if "grader" in words.lower() or "assignment" in words.lower()]
    assert page.get_by_text("Validate", exact=True).count() == 0
    page.close()


def test_one_key_leads_to_the_first_problem_and_no_code_is_in_sight(student: Any) -> None:
    """F8 on the start page: a problem stands there, and no line of Python."""
    from playwright.sync_api import expect

    page = opened(student, "start.ipynb")
    assert not [text for text in page.locator(".jp-Placeholder").all_inner_texts() if "import" in text]
    page.keyboard.press("F8")
    expect(page.get_by_role("group", name="Practice problems").first).to_contain_text("Problem 1")
    expect(page.locator(".jp-Placeholder:visible")).to_have_count(0)
    expect(page.locator(".calclib-asleep:visible")).to_have_count(0)
    assert "".join(page.locator(".jp-OutputPrompt:visible").all_inner_texts()).strip() == ""
    page.get_by_label("The day of your exam").fill("2026-12-15")
    page.get_by_role("button", name="Keep this day").click()
    expect(page.get_by_text("Kept. Nothing is put off past the day before.")).to_be_visible()
    page.close()


def test_an_answer_is_never_an_error_in_red(student: Any) -> None:
    """In a set that nobody started: an answer without quotes is read, its check judges it, and no code is in sight."""
    from playwright.sync_api import expect

    page = opened(student, f"{SET}.ipynb")
    answer = page.locator(".jp-Notebook .jp-Cell[data-windowed-list-index='3']")
    answer.locator(".cm-content").click()
    assert not [text for text in page.locator(".jp-Placeholder").all_inner_texts() if "import" in text]
    page.keyboard.press("Control+A")
    page.keyboard.insert_text("answer_1 = 25 mL")
    page.keyboard.press("Shift+Enter")
    expect(answer.locator(".jp-OutputArea-output")).to_contain_text("Read as text: 25 mL.")
    page.keyboard.press("Shift+Enter")
    check = page.locator(".jp-Notebook .jp-Cell[data-windowed-list-index='4']")
    expect(check.locator(".jp-OutputArea-output")).to_contain_text("another unit. The question asks for mL/h.")
    assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    page.close()


def test_a_lesson_opened_again_says_what_to_do(student: Any, tmp_path: Path) -> None:
    """Saved, closed and opened again, trusted as it is: a sentence for each widget, and no error of Jupyter."""
    from playwright.sync_api import expect

    page = opened(student, LESSON)
    page.keyboard.press("F8")
    page.locator(".calclib-lesson").first.wait_for()
    expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle")
    choose(page, "File", "Save Notebook")
    choose(page, "Kernel", "Shut Down Kernel")
    page.close()
    page = opened(student, LESSON)
    sentence = page.locator(".calclib-asleep:visible").first
    expect(sentence).to_contain_text("Run All Cells")
    page.screenshot(path=tmp_path / "asleep.png")
    assert page.get_by_text("Error displaying").locator("visible=true").count() == 0
    assert page.locator(".calclib-lesson").count() == 0
    page.keyboard.press("F8")
    expect(page.locator(".calclib-lesson").first).to_be_visible()
    expect(sentence).to_be_hidden()
    page.close()
