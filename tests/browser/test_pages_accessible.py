"""What people read, by the rules of accessibility: feedback, class report, preview and catalogue, in each look."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from calclib.judging_papers import mark
from calclib.models import bank
from calclib.pages import write_feedback, write_report
from calclib.pages.catalogue import catalogue_page
from calclib.pages.class_report import report_page
from calclib.pages.preview import write_preview_page
from calclib.releasing.preview import preview
from tests.browser.accessibility import LOOKS, broken_rules
from tests.pages.made_results import made_results
from tests.small_class.started import NOW, folder, hand_in, keys, made_class
from tests.widgets.devices.on_a_page import running_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

__all__ = ["folder", "hand_in", "keys", "made_class"]
pytestmark = pytest.mark.service("Chromium")
PHONE = 390
LONGEST_ON_A_PHONE = 6_000
"""Pixels of the folded catalogue; it had 784,000 before it was folded."""
SAMPLE = ("drop-rate", "secondary-rate", "read-syringe", "draw-up-mark", "safe-dose-range", "setup-drop-rate")


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all pages."""
    with running_browser(chromium) as running:
        yield running


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole catalogue."""
    path = tmp_path_factory.mktemp("catalogue") / "catalogue.html"
    path.write_bytes(catalogue_page(list(bank().values())))
    return path


@pytest.fixture
def pages(folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]]) -> dict[str, Path]:
    """The pages of a class in which one student has all right and one has made mistakes of several kinds."""
    hand_in("ann", keys["ann"])
    rate = keys["ben"]["answer_4"].split()[0]
    hand_in(
        "ben", {"answer_1": "1 gtt/min", "answer_2": "about 20 or 30", "answer_3": ".5 ml", "answer_4": f"{rate} mL"}
    )
    mark(folder, "week-3", now=NOW)
    feedback = write_feedback(folder, "week-3").pages
    sample = preview(folder, "week-3")
    write_preview_page(sample)
    few = folder / "few.html"
    few.write_bytes(catalogue_page([bank()[name] for name in SAMPLE]))
    return {
        "feedback, all right": feedback["ann"],
        "feedback, mistakes": feedback["ben"],
        "class report": write_report(folder, "week-3"),
        "preview": sample.page,
        "catalogue": few,
    }


def shown(browser: Browser, path: Path, width: int, scheme: Any, *, script: bool = True) -> Page:
    """A page as a person opens it."""
    context = browser.new_context(
        viewport={"width": width, "height": 844}, color_scheme=scheme, java_script_enabled=script
    )
    page = context.new_page()
    page.goto(path.as_uri())
    return page


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_no_page_breaks_the_rules_of_accessibility(
    browser: Browser, pages: dict[str, Path], width: int, scheme: str, tmp_path: Path
) -> None:
    """Names, roles, order and contrast by WCAG 2.1 A and AA; no page is wider than the window; the dark is dark."""
    for name, path in pages.items():
        page = shown(browser, path, width, scheme)
        if name == "catalogue":
            page.get_by_role("button", name="Open everything shown").click()
        assert broken_rules(page) == "", name
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
        ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (ground == "rgb(255, 255, 255)") == (scheme == "light"), name
        page.screenshot(path=tmp_path / f"{name.replace(', ', '-').replace(' ', '-')}-{width}-{scheme}.png")
        page.context.close()


def test_the_table_of_skills_is_put_in_order_by_keyboard(browser: Browser, tmp_path: Path) -> None:
    """By need at first; Tab and Enter put it in order of score or name, and say which; no rule is broken by many rows.

    Without its script the page is whole, in the order of need, and shows no dead button.
    """
    path = tmp_path / "report.html"
    others = [[True] * 10 + [n % 2 == 0, n % 3 == 0] for n in range(40)]
    rows = [[True] * 12, [False] * 9 + [True] * 3, *others]
    path.write_bytes(report_page(made_results(rows), {"rounding": "", "marking": ""}))
    page = shown(browser, path, 1440, "light")
    assert broken_rules(page) == ""
    first = page.locator("#map tbody th").first
    assert first.inner_text().startswith("Given0002")
    page.get_by_role("button", name="need").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.get_by_role("button", name="name").get_attribute("aria-pressed") == "true"
    assert page.get_by_role("button", name="need").get_attribute("aria-pressed") == "false"
    names = page.locator("#map tbody th").all_inner_texts()
    assert names == sorted(names)
    page.locator("#problems ~ .wide a").first.click()
    assert page.locator("details[open] #problem-1").is_visible()
    page.context.close()
    still = shown(browser, path, PHONE, "light", script=False)
    assert still.locator("#orders").is_hidden()
    assert still.locator("#map tbody th").count() == 42
    still.context.close()


def test_the_catalogue_is_short_and_finds(browser: Browser, catalogue: Path) -> None:
    """Folded it is a few screens long on a phone; a nurse's word leaves the kinds that fit, and says how many."""
    page = shown(browser, catalogue, PHONE, "light")
    assert page.evaluate("document.documentElement.scrollHeight") < LONGEST_ON_A_PHONE
    kinds = page.locator("details.model")
    assert kinds.count() == len(bank())
    page.get_by_label("Search").fill("piggyback")
    page.get_by_text(re.compile(r"^\d\d of \d+ kinds$")).wait_for()
    assert page.locator("#secondary-rate").is_visible() and page.locator("#drop-rate").is_hidden()
    page.get_by_label("Asked").select_option("a time")
    assert page.locator("#primary-resumes").is_visible() and page.locator("#secondary-rate").is_hidden()
    page.get_by_label("Search").fill("zebra")
    page.get_by_role("status").get_by_text("No kind fits.").wait_for()
    page.get_by_role("button", name="Show all").click()
    page.get_by_text(f"{len(bank())} of {len(bank())} kinds").wait_for()
    assert page.evaluate("document.documentElement.scrollHeight") < LONGEST_ON_A_PHONE
    page.context.close()


def test_the_catalogue_by_keyboard_alone(browser: Browser, catalogue: Path) -> None:
    """From the top: search, the five filters, two buttons, then topics; Enter unfolds a topic and a kind in it."""
    page = shown(browser, catalogue, PHONE, "light")
    names = []
    for _ in range(9):
        page.keyboard.press("Tab")
        names.append(
            page.evaluate("document.activeElement.labels?.[0]?.textContent ?? document.activeElement.innerText")
        )
    assert names[:4] == ["Search", "Topic", "Level", "Asked"]
    assert names[4:8] == ["Length", "Device", "Show all", "Open everything shown"]
    assert names[8].startswith("Measures")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.locator("details.model[open] blockquote").first.is_visible()
    page.context.close()


def test_the_catalogue_without_its_script(browser: Browser, catalogue: Path) -> None:
    """It is whole: every kind stands there folded, opens by a click, and no dead control is shown."""
    page = shown(browser, catalogue, PHONE, "light", script=False)
    assert page.locator("form").is_hidden()
    page.get_by_role("heading", name="Secondary infusions").click()
    page.locator("#secondary-rate > summary").click()
    assert page.locator("#secondary-rate blockquote").is_visible()
    page.context.close()


def test_an_address_unfolds_what_it_names(browser: Browser, catalogue: Path) -> None:
    """A link to a kind shows it open."""
    page = browser.new_page()
    page.goto(f"{catalogue.as_uri()}#secondary-rate")
    assert page.locator("#secondary-rate blockquote").is_visible()
    page.close()
