"""Devices as parts of problems in a practice box, in a browser: by mouse, touch, keyboard, and without movement."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

from calclib.widgets import practice_box
from calclib.widgets.practice import PracticeBox
from tests.browser.accessibility import broken_rules
from tests.widgets.box_on_a_page import opened_box
from tests.widgets.devices.on_a_page import running_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.service("Chromium")


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all pages."""
    with running_browser(chromium) as running:
        yield running


def box_of(model: str) -> PracticeBox:
    """A box with one kind of problem."""
    return practice_box(model, "one")


def key(box: PracticeBox, part: str) -> str:
    """The right answer to a part."""
    assert box.session.item is not None
    return box.session.item.part(part).answer


def check(page: Page, expect: Any, words: str) -> None:
    """Press Check; the box announces what comes back."""
    page.get_by_role("button", name="Check").click()
    expect(page.locator(".announced")).to_contain_text(words)


@pytest.fixture
def expect() -> Any:
    """Assertions that wait."""
    from playwright.sync_api import expect as waiting

    return waiting


def test_a_dose_is_drawn_up_by_mouse(browser: Browser, expect: Any) -> None:
    """Buttons move the plunger; the parts read back where it stands, in marks and not in mL, and are judged right."""
    box = box_of("draw-up-mark")
    with opened_box(browser, box) as page:
        for _ in range(int(key(box, "marks"))):
            page.get_by_role("button", name="One mark more").click()
        expect(page.get_by_text("Set by hand: edge nearest the needle")).to_have_count(2)
        assert key(box, "volume") not in page.locator(".parts").inner_text()
        check(page, expect, "2 of 2 right.")
        expect(page.locator(".verdict").first).to_contain_text(f"Read as: {key(box, 'volume')}")


def test_who_would_rather_type_can(browser: Browser, expect: Any) -> None:
    """A part that was set gets its field back, with the focus in it; what is typed there is what is judged."""
    box = box_of("draw-up-mark")
    with opened_box(browser, box) as page:
        page.get_by_role("button", name="One mark more").click()
        page.get_by_role("button", name=re.compile("^Type instead: How many mL")).click()
        expect(page.get_by_role("textbox", name=re.compile("^How many mL"))).to_be_focused()
        page.keyboard.type(key(box, "volume"))
        page.keyboard.press("Enter")
        expect(page.locator(".verdict").first).to_contain_text("Right.")
        expect(page.locator(".verdict").nth(1)).to_contain_text("Read as: 1")


def test_a_syringe_is_read_by_keyboard_alone(browser: Browser, expect: Any) -> None:
    """Tab reaches the reading line, arrows lay it, and its words are heard; Enter in the other field checks."""
    box = box_of("read-syringe")
    with opened_box(browser, box) as page:
        page.keyboard.press("Tab")
        expect(page.get_by_role("slider", name=re.compile("^Reading line"))).to_be_focused()
        for _ in range(box.problem["hands"]["state"]["level"]):
            page.keyboard.press("ArrowRight")
        while not page.evaluate("document.activeElement.matches('input[type=text]:not([hidden])')"):
            page.keyboard.press("Tab")
        page.keyboard.type(key(box, "dose"))
        page.keyboard.press("Enter")
        expect(page.locator(".announced")).to_contain_text("2 of 2 right.")


def test_a_cup_is_read_by_touch(browser: Browser, expect: Any) -> None:
    """A tap lays the line where the finger is; one on the buttons moves it by a mark."""
    box = box_of("read-medicine-cup")
    level = box.problem["hands"]["state"]["level"]
    with opened_box(browser, box, width=390, touch=True) as page:
        place = page.locator("svg").bounding_box()
        assert place
        page.touchscreen.tap(place["x"] + place["width"] / 2, place["y"] + place["height"] / 2)
        laid = int(page.get_by_role("slider").get_attribute("aria-valuenow") or 0)
        assert laid > 0
        for _ in range(abs(level - laid)):
            page.get_by_role("button", name=f"One mark {'more' if level > laid else 'less'}").tap()
        page.get_by_role("button", name="Check").tap()
        expect(page.locator(".verdict").first).to_contain_text(f"Read as: {key(box, 'reading')}")
        expect(page.locator(".verdict").first).to_contain_text("Right.")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_drops_are_counted_without_movement_and_by_keyboard(browser: Browser, expect: Any) -> None:
    """Whoever asked for less movement hears the drops in words, sets the count with keys, and is judged alike."""
    box = box_of("drip-chamber-count")
    with opened_box(browser, box, still=True) as page:
        page.get_by_role("button", name="What falls in 60 s").press("Enter")
        drops = page.locator(".calclib-device ol").inner_text().count("drop")
        dial = page.get_by_role("spinbutton")
        for _ in range(drops // 10):
            dial.press("PageUp")
        for _ in range(drops % 10):
            dial.press("ArrowUp")
        expect(page.get_by_text(f"Set by hand: {drops} in a minute")).to_be_visible()
        page.get_by_role("button", name="Check").click()
        expect(page.locator(".verdict").first).to_contain_text("Right.")


def test_a_clamp_is_offered_and_left_alone(browser: Browser, expect: Any) -> None:
    """Where the problem draws nothing, the device is folded; unfolded and set, it answers; the rate isn't shown."""
    box = box_of("drop-rate")
    with opened_box(browser, box, still=True) as page:
        expect(page.get_by_role("slider")).to_be_hidden()
        page.get_by_text("Set it by hand instead of typing").click()
        page.get_by_role("button", name="Open by 10").click()
        expect(page.get_by_text("Set by hand: open to notch 10 of")).to_be_visible()
        check(page, expect, "Not right yet.")


def test_a_syringe_is_chosen_among_drawn_ones(browser: Browser, expect: Any) -> None:
    """The drawer chooses the same answer as the list, and it is judged."""
    box = box_of("choose-syringe")
    with opened_box(browser, box) as page:
        page.get_by_text("Set it by hand instead of typing").click()
        right = key(box, "syringe")
        page.locator(".calclib-device").get_by_role("radio", name=re.compile(f"^{right}")).check()
        assert page.locator("fieldset.part").get_by_role("radio", name=right, exact=True).is_checked()
        page.get_by_role("button", name="Check").click()
        expect(page.locator("fieldset.part .verdict")).to_contain_text("Right.")


def test_the_form_says_when_three_disagree(browser: Browser, expect: Any) -> None:
    """What is entered goes into the fields of the problem; a time that doesn't follow is said, and then judged."""
    box = box_of("secondary-infusion-entries")
    with opened_box(browser, box) as page:
        page.get_by_text("Enter the three side by side").click()
        form = page.get_by_role("group", name="Rate, volume and time")
        for field in form.get_by_role("textbox").all():
            place = field.bounding_box()
            assert place and 44 <= place["height"] < 60
        for label, part in (("Rate", "rate"), ("Volume to be infused", "volume")):
            form.get_by_label(re.compile(f"^{label}")).fill(key(box, part))
        form.get_by_label(re.compile("^Time")).fill("999 min")
        form.get_by_label(re.compile("^Time")).press("Tab")
        expect(form).to_contain_text("The three disagree:")
        values = [field.input_value() for field in page.locator(".parts .entry:not(.for-setup) input").all()]
        assert set(values) == {key(box, "rate"), key(box, "volume"), "999 min"}
        check(page, expect, "2 of 3 right.")


@pytest.mark.parametrize("light", [True, False])
def test_a_wrong_number_is_run_beside_the_order(browser: Browser, expect: Any, light: bool, tmp_path: Any) -> None:
    """After a wrong rate: both runs drawn, told in words with the caution, announced; no rule of WCAG is broken."""
    box = box_of("pump-rate")
    with opened_box(browser, box, light=light) as page:
        page.get_by_role("textbox").first.fill("7 mL/h")
        check(page, expect, "Not right yet.")
        page.get_by_role("button", name=re.compile("^See what this number would do")).press("Enter")
        run = page.get_by_role("group", name="What your number would do")
        expect(run).to_contain_text("At 7 mL/h only ")
        expect(run).to_contain_text("A model for learning: it shows the arithmetic, not your patient.")
        assert run.locator("polyline").count() == 2
        expect(page.locator(".announced")).to_contain_text("What your number would do. At 7 mL/h only ")
        assert broken_rules(page, ".calclib-practice") == ""
        page.screenshot(path=tmp_path / "run.png")


@pytest.mark.parametrize("light", [True, False])
@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("model", ["draw-up-mark", "read-medicine-cup", "bag-scale-time", "drip-chamber-count"])
def test_no_device_in_a_box_breaks_a_rule(browser: Browser, model: str, width: int, light: bool, tmp_path: Any) -> None:
    """Names, roles and contrast by WCAG 2.1 A and AA, in both themes and widths; nothing is wider than the page."""
    with opened_box(browser, box_of(model), width=width, light=light) as page:
        page.wait_for_timeout(100)
        assert broken_rules(page, ".calclib-practice") == ""
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.screenshot(path=tmp_path / "device.png", full_page=True)


def test_a_box_has_one_live_region(browser: Browser) -> None:
    """What a device says is announced where all of the box is, so that nothing is said twice."""
    with opened_box(browser, box_of("read-syringe")) as page:
        assert page.locator("[role=status], [aria-live], [role=alert]").count() == 1
        page.get_by_role("button", name="One mark more").click()
        assert "small mark past" in page.locator(".announced").inner_text()


def test_drawings_grow_with_the_text(browser: Browser) -> None:
    """At twice the size of text, the numbers of a scale are twice as high, and the page is no wider."""
    heights = []
    for size in ("15px", "30px"):
        with opened_box(browser, box_of("read-medicine-cup")) as page:
            page.add_style_tag(content=f":root {{ --jp-content-font-size1: {size}; }}")
            page.wait_for_timeout(200)
            heights.append(page.locator("svg text").first.evaluate("node => node.getBoundingClientRect().height"))
            assert page.evaluate("document.documentElement.scrollWidth") <= 1280
    assert heights[1] == pytest.approx(2 * heights[0], rel=0.1)


def test_a_box_that_is_shown_again_has_what_was_set(browser: Browser, expect: Any) -> None:
    """A notebook that draws its box again shows the device where it stood and the verdict beside it."""
    box = box_of("draw-up-mark")
    with opened_box(browser, box) as page:
        page.get_by_role("button", name="One number more").click()
        check(page, expect, "right.")
    with opened_box(browser, box) as page:
        assert page.get_by_role("slider").get_attribute("aria-valuenow") == "5"
        expect(page.get_by_text("Set by hand: edge nearest the needle at the 1 mark")).to_have_count(2)
        expect(page.locator(".verdict").nth(1)).to_contain_text("Read as: 5")
