"""The desk in Chromium: a case settled by mouse and by keyboard, and every page by the rules of accessibility."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.accessibility import broken_rules
from tests.desk.served import Desk
from tests.desk.test_rulings import REASON, rulings
from tests.widgets.devices.on_a_page import running_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.service("Chromium")
MOST_TABS = 60


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all tests."""
    with running_browser(chromium) as running:
        yield running


@pytest.mark.parametrize(
    ("width", "scheme"), [pytest.param(390, "dark"), pytest.param(1280, "light", marks=pytest.mark.full)]
)
def test_a_case_is_settled_by_mouse(browser: Browser, desk: Desk, width: int, scheme: str, tmp_path: Path) -> None:
    """From the printed address to the recorded ruling and the explanation; no page breaks a rule or is too wide."""
    context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme)
    page = context.new_page()
    failed: list[str] = []
    page.on("console", lambda told: failed.append(told.text) if told.type == "error" else None)

    def look(name: str) -> None:
        assert broken_rules(page) == "", name
        assert page.evaluate("document.documentElement.scrollWidth") <= width, name
        page.screenshot(path=tmp_path / f"{name}-{width}-{scheme}.png", full_page=True)

    page.goto(desk.address)
    assert "token" not in page.url
    look("sets")
    page.get_by_role("link", name="Week 3: <infusions>", exact=True).click()
    look("set")
    page.get_by_role("link", name="Settle: Ben Birch (ben), problem 2").click()
    look("answer")
    page.get_by_label("Give this answer points").check()
    page.get_by_label("Points, from 0 to 1").fill("1")
    page.get_by_role("button", name="Show who gains and who loses").click()
    page.get_by_text("Ben Birch (ben): 9 of 12 (75%) to 10 of 12 (83.3%)").wait_for()
    look("effect")
    page.get_by_label("The reason, in a sentence").fill(REASON)
    page.get_by_label("Who rules").fill("Dr. Elm")
    page.get_by_role("button", name="Record this ruling").click()
    page.get_by_role("status").get_by_text("Ruling 1 is recorded").wait_for()
    look("recorded")
    assert rulings(desk.folder) == [(1, "answer", REASON, "Dr. Elm")]
    page.get_by_role("link", name="Ben Birch", exact=True).click()
    look("student")
    page.get_by_role("link", name="Why problem 2 has its marks").click()
    assert page.get_by_role("button", name="Print").is_visible()
    look("explanation")
    page.get_by_role("link", name="Remediation").click()
    page.get_by_role("button", name="Write plans").click()
    page.get_by_text("Too early to say for Ben Birch (ben): answers wait for you.").wait_for()
    look("remediation")
    page.get_by_role("link", name="Class report", exact=True).click()
    look("report")
    page.get_by_role("link", name="week-3", exact=True).click()
    page.get_by_role("link", name="3. What to enter for a secondary infusion").click()
    look("problem")
    page.get_by_role("link", name="Retest", exact=True).click()
    look("again")
    page.get_by_role("link", name="Standing", exact=True).click()
    page.get_by_label("For whom").select_option("Ann Ash (ann)")
    page.get_by_label("Name of the person who read it").fill("Dr. Elm")
    page.get_by_role("button", name="Sign as read").click()
    page.get_by_role("status").get_by_text("Recorded: Dr. Elm read and signed where 1 student stands.").wait_for()
    look("standing")
    assert failed == []
    context.close()


def test_a_case_is_settled_by_keyboard_without_a_script(browser: Browser, desk: Desk) -> None:
    """Tab, arrows, space and Enter alone do all of it, and no page needs a script."""
    context = browser.new_context(viewport={"width": 1280, "height": 844}, java_script_enabled=False)
    page = context.new_page()
    page.goto(desk.address)
    _to(page, "a", "Week 3: <infusions>")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What waits for a person").wait_for()
    _to(page, "a", "Settle")
    page.keyboard.press("Enter")
    page.get_by_role("group", name="What do you decide?").wait_for()
    _to(page, 'input[value="answer"]')
    page.keyboard.press("Space")
    _to(page, 'input[name="points"]')
    page.keyboard.press("Control+A")
    page.keyboard.type("1")
    _to(page, "button", "Show who gains and who loses")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What changes").wait_for()
    _to(page, "textarea")
    page.keyboard.type(REASON)
    _to(page, "button", "Record this ruling")
    page.keyboard.press("Enter")
    page.get_by_role("status").get_by_text("Ruling 1 is recorded").wait_for()
    assert rulings(desk.folder) == [(1, "answer", REASON, "")]
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.url.endswith("#content")
    _to(page, "a", "Ben Birch")
    page.keyboard.press("Enter")
    page.get_by_role("group", name="Add to the record").wait_for()
    _to(page, 'input[value="coached"]')
    page.keyboard.press("Space")
    _to(page, "textarea")
    page.keyboard.type("Drop rates.")
    _to(page, 'input[name="by"]')
    page.keyboard.type("Dr. Elm")
    page.keyboard.press("Enter")
    page.get_by_text(", Dr. Elm: Drop rates.").wait_for()
    context.close()


def test_a_page_of_another_site_can_neither_send_nor_frame(browser: Browser, desk: Desk) -> None:
    """Its form is refused though the person is logged in, and in its frame nothing is shown."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(desk.address)
    there = page.url
    other = there.replace("127.0.0.1", "localhost")
    page.route(
        "**/elsewhere",
        lambda route: route.fulfill(
            content_type="text/html",
            body=f'<form method="post" action="{there}/sets/week-3/rule"><input name="do" value="void">'
            f'<input name="problem" value="1"><button>Win</button></form><iframe src="{there}"></iframe>',
        ),
    )
    page.goto(f"{other.split('/calclib')[0]}/elsewhere")
    assert "Week 3" not in page.frame_locator("iframe").locator("html").inner_text()
    page.get_by_role("button", name="Win").click()
    page.get_by_text("did not come from a page of the desk").wait_for()
    assert rulings(desk.folder) == []
    context.close()


def _to(page: Page, selector: str, text: str = "") -> None:
    """Press Tab until an element has the focus."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        focused = page.locator(f"{selector}:focus")
        if focused.count() and (not text or focused.inner_text().strip() == text):
            return
    raise AssertionError(f"Tab leads to no {selector} {text}")
