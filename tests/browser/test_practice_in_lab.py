"""The practice box in JupyterLab, in a browser: rounds by mouse and by keyboard, and the rules of accessibility."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import nbformat
import pytest

from tests.browser.accessibility import broken_rules
from tests.browser.lab import FLAGS, chromium, running_lab

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

pytestmark = pytest.mark.service("Chromium")
PATIENCE = 60_000  # milliseconds
CELL = 'from calclib.widgets import practice_box\n\npractice_box(["pump-rate", "drop-rate"], seed="browser")'


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A notebook with a box alone, opened and run at the size of a small laptop."""
    playwright = pytest.importorskip("playwright.sync_api")
    browser_path = chromium()
    assert browser_path, "no Chromium on this machine: install it with `apt-get install chromium`"
    folder, home = tmp_path_factory.mktemp("course"), tmp_path_factory.mktemp("home")
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(CELL)], metadata=kernel)
    nbformat.write(notebook, folder / "practice.ipynb")
    with running_lab(folder, home) as address, playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_path, args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 720})
        page.set_default_timeout(PATIENCE)
        playwright.expect.set_options(timeout=PATIENCE)
        page.goto(address.format(path="practice.ipynb"))
        playwright.expect(page.locator("#jp-main-statusbar")).to_contain_text("| Idle", timeout=PATIENCE)
        page.get_by_role("menuitem", name="Run", exact=True).click()
        page.get_by_role("menuitem", name="Run All Cells", exact=True).click()
        box(page).locator("h3").wait_for()
        yield page
        browser.close()


def box(page: Page) -> Locator:
    """The practice box."""
    return page.get_by_role("group", name="Practice problems")


def rate(page: Page) -> str:
    """The right rate of the problem that is shown, worked out from its stem."""
    # A number and its unit stand on one line.
    stem = box(page).locator(".stem").inner_text().replace("\N{NO-BREAK SPACE}", " ")
    volume, unit, time, of = re.search(r"([\d,.]+) (mL|L) of .* over ([\d.]+) (h|min)", stem).groups()  # type: ignore[union-attr]
    milliliters = float(volume.replace(",", "")) * (1000 if unit == "L" else 1)
    hours = float(time) / (60 if of == "min" else 1)
    return f"{milliliters / hours + 1e-9:.0f} mL/h"


def in_view(place: Locator) -> bool:
    """Whether a place stands in the window as it is, without scrolling."""
    seen = place.evaluate(
        "node => { const r = node.getBoundingClientRect(); return r.top >= 0 && r.bottom <= innerHeight && r.width }"
    )
    return bool(seen)


def next_pump_rate(page: Page, expect: Any) -> None:
    """Ask for new problems until one is of that kind."""
    for _ in range(6):
        before = box(page).locator("h3").inner_text()
        box(page).get_by_role("button", name="New problem").click()
        expect(box(page).locator("h3")).not_to_have_text(before)
        if "infusion pump" in box(page).locator(".stem").inner_text():
            return
    pytest.fail("no problem on a pump among six")


@pytest.fixture
def expect(lab: Page) -> Any:
    """Assertions that wait."""
    from playwright.sync_api import expect as waiting

    return waiting


def test_a_round_by_mouse(lab: Page, tmp_path: Path, expect: Any) -> None:
    """A wrong answer is answered beside its field, in view; a hint too; then another problem with empty fields."""
    next_pump_rate(lab, expect)
    field = box(lab).get_by_role("textbox").first
    field.fill("7 mL/h")
    box(lab).get_by_role("button", name="Check").click()
    verdict = box(lab).locator(".verdict").first
    expect(verdict).to_contain_text("7 mL/h")
    assert in_view(verdict)
    box(lab).get_by_role("button", name=re.compile("Hint")).first.click()
    hint = box(lab).locator(".hint").first
    expect(hint).to_have_text(re.compile(r"\w"))
    assert in_view(hint)
    lab.screenshot(path=tmp_path / "hint.png")
    next_pump_rate(lab, expect)
    expect(box(lab).get_by_role("textbox").first).to_have_value("")
    expect(box(lab).get_by_role("textbox").first).to_be_focused()


def test_a_round_by_keyboard_alone(lab: Page, expect: Any) -> None:
    """What is typed last goes with the key that sends it, and is announced; no shortcut of the notebook is reached."""
    next_pump_rate(lab, expect)
    cells = lab.locator(".jp-Notebook .jp-Cell").count()
    lab.keyboard.type("dd")
    for _ in range(2):
        lab.keyboard.press("Backspace")
    lab.keyboard.type(rate(lab))
    lab.keyboard.press("Enter")
    expect(box(lab).locator(".verdict").first).to_contain_text("Right")
    expect(box(lab).get_by_role("status")).to_contain_text("Right")
    expect(box(lab).get_by_role("button", name="New problem")).to_be_focused()
    before = box(lab).locator("h3").inner_text()
    lab.keyboard.press("Enter")
    expect(box(lab).locator("h3")).not_to_have_text(before)
    expect(box(lab).get_by_role("textbox").first).to_be_focused()
    assert lab.locator(".jp-Notebook .jp-Cell").count() == cells


def test_nothing_in_the_box_breaks_the_rules_of_accessibility(lab: Page) -> None:
    """Names, roles and contrast by the rules of WCAG 2.1 A and AA in the light theme, with a verdict shown."""
    box(lab).get_by_role("textbox").first.fill("7 mL/h")
    box(lab).get_by_role("button", name="Check").click()
    box(lab).locator(".verdict").first.wait_for()
    assert broken_rules(lab, ".calclib-practice") == ""
