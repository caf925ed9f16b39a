"""A practice set and a set that counts, as a student works them in JupyterLab: from opening to check and mark."""

from __future__ import annotations

import datetime as dt
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from calclib.class_files import class_folder
from calclib.gradebook.results import set_results
from calclib.judging_papers import mark
from calclib.releasing.practice_set import practice_items
from tests.browser.lab import FLAGS, chromium, running_lab
from tests.small_class.started import folder, keys, made_class

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

__all__ = ["folder", "keys", "made_class"]
pytestmark = pytest.mark.service("Chromium")
PATIENCE = 60_000  # milliseconds
NAME = "practice-pump-rates"
RELEASED = Path(__file__).parents[2] / "exercises" / NAME / f"{NAME}.ipynb"
NOW = dt.datetime(2026, 11, 26, 8, 0, tzinfo=dt.UTC)


@pytest.fixture
def browser() -> Iterator[object]:
    """The browser of this system."""
    playwright = pytest.importorskip("playwright.sync_api")
    path = chromium()
    assert path, "no Chromium on this machine: install it with `apt-get install chromium`"
    playwright.expect.set_options(timeout=PATIENCE)
    with playwright.sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=path, args=FLAGS)
        yield found
        found.close()


def opened(browser: object, address: str, path: str) -> Page:
    """A notebook in JupyterLab, its kernel started."""
    page: Page = browser.new_page(viewport={"width": 1280, "height": 1000})  # type: ignore[attr-defined]
    page.set_default_timeout(PATIENCE)
    page.goto(address.format(path=path))
    idle(page)
    return page


def idle(page: Page) -> None:
    """Wait until nothing runs."""
    from playwright.sync_api import expect

    expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle")


def cell(page: Page, number: int) -> Locator:
    """A cell of the notebook by its place, brought into view."""
    found = page.locator(f".jp-Notebook .jp-Cell[data-windowed-list-index='{number}']")
    found.scroll_into_view_if_needed()
    return found


def type_into(page: Page, number: int, text: str) -> None:
    """Replace what stands in a cell."""
    cell(page, number).locator(".cm-content").click()
    page.keyboard.press("Control+A")
    page.keyboard.insert_text(text)


def run(page: Page, number: int, text: str | None = None) -> Locator:
    """Run a cell, with another text in it if one is given; its output."""
    if text is not None:
        type_into(page, number, text)
    else:
        # The code of a check is folded away: Shift and Enter in the answer above it lead there.
        cell(page, number - 1).locator(".cm-content").click()
        page.keyboard.press("Shift+Enter")
        idle(page)
    page.keyboard.press("Control+Enter")
    idle(page)
    return cell(page, number).locator(".jp-OutputArea-output")


def run_all(page: Page) -> None:
    """Run the notebook from its first cell to its last."""
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
    idle(page)


def test_a_practice_set_from_opening_to_the_explained_check(browser: object, tmp_path: Path) -> None:
    """An answer without quotes is told in a sentence and stops nothing; a wrong one is explained."""
    from playwright.sync_api import expect

    (tmp_path / "course").mkdir()
    (tmp_path / "home").mkdir()
    shutil.copy(RELEASED, tmp_path / "course")
    with running_lab(tmp_path / "course", tmp_path / "home") as address:
        page = opened(browser, address, RELEASED.name)
        type_into(page, 3, "answer_1 = 25 mL")
        run_all(page)
        expect(cell(page, 1).locator(".jp-OutputArea-output")).to_contain_text("Ready.")
        expect(cell(page, 3).locator(".jp-OutputArea-output")).to_contain_text("Read as text: 25 mL.")
        told = cell(page, 4).locator(".jp-OutputArea-output")
        expect(told).to_contain_text("Read as 25 mL: another unit. The question asks for mL/h.")
        expect(told).to_contain_text("Hint 1 of 3:")
        expect(cell(page, 7).locator(".jp-OutputArea-output")).to_contain_text("No answer yet.")
        assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
        page.screenshot(path=tmp_path / "run-all.png")

        run(page, 3, 'Answer_1 = "2.6 mL/h"')
        expect(run(page, 4)).to_contain_text("2.6 mL/h is not right")
        expect(run(page, 4)).to_contain_text("Hint 2 of 3:")
        page.screenshot(path=tmp_path / "wrong.png")
        run(page, 3, f'"{practice_items(NAME)[0].parts[0].answer}"')
        expect(run(page, 4)).to_contain_text("\u2713 Right.")
        page.screenshot(path=tmp_path / "right.png")


def test_a_counted_set_from_opening_to_the_mark(
    browser: object, folder: Path, keys: dict[str, dict[str, str]], tmp_path: Path
) -> None:
    """The check says how an answer is read and never whether it is right; what is saved is marked as it was read."""
    from playwright.sync_api import expect

    where = class_folder(folder)
    right = keys["ann"]
    (tmp_path / "course").mkdir()
    (tmp_path / "home").mkdir()
    path = Path(shutil.copy(where.rendered("week-3", "ann"), tmp_path / "course"))
    with running_lab(tmp_path / "course", tmp_path / "home") as address:
        page = opened(browser, address, path.name)
        type_into(page, 3, f"answer_1 = {right['answer_1']}")
        type_into(page, 6, f'answer_2 = "{right["answer_2"].split()[0]}"')
        run_all(page)
        first, second = (cell(page, n).locator(".jp-OutputArea-output") for n in (4, 7))
        expect(first).to_contain_text(f"Read as {right['answer_1']}")
        expect(second).to_contain_text("no unit. The question asks for gtt/min.")
        assert "Right" not in first.inner_text() + second.inner_text()
        assert page.locator("[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
        page.screenshot(path=tmp_path / "counted.png")
        page.keyboard.press("Control+S")
        expect(page.locator(".jp-mod-dirty")).to_have_count(0)
    target = where.submitted("week-3", "ann")
    target.parent.mkdir(parents=True)
    shutil.copy(path, target)

    assert mark(folder, "week-3", now=NOW).marked
    (ann,) = [one for one in set_results(where, "week-3").students if one.student.id == "ann"]
    assert [part.mark.verdict for part in ann.parts[:3]] == ["right", "unit_missing", "blank"]
