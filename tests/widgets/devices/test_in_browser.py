"""Each device in a browser, once by mouse and once by keyboard; its words follow."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest

from calclib.items import draw_item
from calclib.models import item_model
from calclib.models.devices import device
from calclib.widgets.devices import hang_two_bags, infusion_form, time_strip, what_your_number_would_do
from calclib.widgets.devices.chamber import DripChamber
from calclib.widgets.devices.drawer import Drawer
from calclib.widgets.devices.scaled import ScaledDevice
from calclib.widgets.engine import practice_engine
from tests.widgets.devices.on_a_page import opened, running_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

pytestmark = pytest.mark.service("Chromium")


@pytest.fixture(scope="module")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all pages."""
    with running_browser(chromium) as running:
        yield running


def state(page: Page, name: str) -> Any:
    """What the page would send to Python."""
    return page.evaluate(f"window.state.{name}")


def drag(page: Page, handle: Locator, *, by: tuple[float, float]) -> None:
    """Take hold of a handle in its middle and move it by so many pixels."""
    box = handle.bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by[0] / 2, y + by[1] / 2)
    page.mouse.move(x + by[0], y + by[1])
    page.mouse.up()


SCALED = {
    "syringe": (ScaledDevice(device("syringe_10_mL")), (200, 0)),
    "insulin": (ScaledDevice(device("insulin_syringe_100_units")), (200, 0)),
    "cup": (ScaledDevice(device("medicine_cup_30_mL")), (0, -60)),
    "bag": (ScaledDevice(device("bag_1000_mL")), (0, 60)),
}


@pytest.mark.parametrize("name", SCALED)
def test_a_scaled_device_by_mouse(browser: Browser, name: str) -> None:
    """Dragging moves by whole marks, and what is heard is what is shown."""
    widget, by = SCALED[name]
    with opened(browser, widget) as page:
        drag(page, page.get_by_role("slider"), by=by)
        mark = state(page, "mark")
        assert isinstance(mark, int) and mark > 0 and state(page, "touched") is True
        words = page.get_by_role("slider").get_attribute("aria-valuetext")
        assert words == widget.device["words"][mark]
        assert words in page.get_by_role("status").inner_text()
        page.get_by_role("button", name=re.compile("One mark (more|down)")).click()
        assert state(page, "mark") == mark + 1


@pytest.mark.parametrize("name", SCALED)
def test_a_scaled_device_by_keyboard(browser: Browser, name: str) -> None:
    """Arrows move by a mark, page keys by a printed number, Home and End to the ends; letters reach nothing."""
    widget, _ = SCALED[name]
    marks, spaces = widget.device["marks"], widget.device["spaces"]
    with opened(browser, widget, width=390) as page:
        page.evaluate("window.leaked = 0; document.body.addEventListener('keydown', () => { window.leaked += 1; })")
        page.keyboard.press("Tab")
        for key, mark in (
            ("ArrowRight", 1),
            ("PageUp", 1 + spaces),
            ("ArrowLeft", spaces),
            ("End", marks),
            ("Home", 0),
        ):
            page.keyboard.press(key)
            assert state(page, "mark") == mark
        for key in "ddx":
            page.keyboard.press(key)
        assert page.evaluate("window.leaked") == 1  # the Tab alone


def test_a_level_that_is_read_stays(browser: Browser) -> None:
    """Where a level is read, the line moves and the level doesn't; the drawing stands there in words."""
    of = device("syringe_3_mL")
    with opened(browser, ScaledDevice(of, level=2 * of.mark, seen="Drawing of a 3 mL syringe.")) as page:
        page.get_by_role("slider", name="Reading line of the 3 mL syringe").press("End")
        assert (state(page, "mark"), state(page, "level")) == (30, 2)
        assert page.get_by_text("Drawing of a 3 mL syringe.").count() == 1


@pytest.mark.parametrize("width", [390, 1440])
def test_targets_are_large_enough_for_a_thumb(browser: Browser, width: int) -> None:
    """Every button and handle is at least 44 pixels each way, and nothing is wider than the page."""
    devices = [widget for widget, _ in SCALED.values()] + [DripChamber(9), DripChamber(play=5), a_drawer()]
    for widget in devices:
        with opened(browser, widget, width=width) as page:
            page.wait_for_timeout(100)
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            for one in page.locator("button:visible, [role=slider], label.pick").all():
                box = one.bounding_box()
                assert box and box["width"] >= 44 and box["height"] >= 44, one.evaluate("node => node.outerHTML")[:200]


def a_drawer() -> Drawer:
    """A drawer with four syringes."""
    return Drawer([(device(f"syringe_{size}_mL").says, device(f"syringe_{size}_mL")) for size in (1, 3, 5, 10)])


def test_a_syringe_is_taken_by_mouse_and_by_keyboard(browser: Browser) -> None:
    """A click or an arrow key chooses; the choice is said."""
    with opened(browser, a_drawer()) as page:
        page.get_by_text("5 mL syringe", exact=True).click()
        assert state(page, "chosen") == 2
        page.keyboard.press("ArrowDown")
        assert state(page, "chosen") == 3
        assert page.get_by_role("status").inner_text() == "10 mL syringe chosen."


def test_without_movement_the_drops_are_told(browser: Browser) -> None:
    """Whoever asked for less movement gets words at once: 9 drops in 15 s, 36 in a minute, none of them a number."""
    with opened(browser, DripChamber(9), still=True) as page:
        page.get_by_role("button", name="What falls in 15 s").click()
        assert page.locator("ol").inner_text().count("drop") == 9
        page.get_by_role("button", name="What falls in 60 s").click()
        assert page.locator("ol").inner_text().count("drop") == 36
        for key in ("PageUp", "ArrowUp", "ArrowUp", "ArrowDown"):
            page.get_by_role("spinbutton").press(key)
        assert state(page, "mark") == 11


def test_with_movement_the_drops_fall_at_the_true_rate(browser: Browser) -> None:
    """In 15 s of the page's clock so many drops fall as were drawn."""
    for drops in (4, 9, 22):
        with opened(browser, DripChamber(drops)) as page:
            page.clock.install(time=0)
            page.clock.pause_at(60_000)
            page.evaluate(WATCHED)
            page.clock.run_for(15_000)
            assert page.evaluate("window.fallen") == drops


# Starts the watch of the first button and counts how often a drop begins to fall.
WATCHED = """() => {
  window.fallen = 0;
  let last = "hidden";
  const falling = [...document.querySelectorAll("svg path")].find((one) => one.getAttribute("visibility"));
  new MutationObserver(() => {
    const now = falling.getAttribute("visibility");
    if (now === "visible" && last === "hidden") window.fallen += 1;
    last = now;
  }).observe(falling, { attributes: true, attributeFilter: ["visibility"] });
  [...document.querySelectorAll("button")].find((one) => one.textContent === "Watch 15 s").click();
}"""


def test_the_clamp_by_mouse_and_by_keyboard(browser: Browser) -> None:
    """The wheel opens upward; the words tell notches, and the drops in words follow the clamp."""
    with opened(browser, DripChamber(play=5), still=True) as page:
        wheel = page.locator("g.handle")
        drag(page, wheel.locator("circle"), by=(0, -15))
        mark = state(page, "mark")
        assert mark > 5
        page.get_by_role("slider").press("ArrowUp")
        assert state(page, "mark") == mark + 1
        for _ in range(mark + 1 - 41):
            page.get_by_role("slider").press("ArrowDown")
        for _ in range(41 - mark - 1):
            page.get_by_role("slider").press("ArrowUp")
        page.get_by_role("button", name="What falls in 60 s").click()
        assert page.locator("ol").inner_text().count("drop") == 36
        assert "36" not in page.locator("[role=slider]").inner_text()


def test_the_form_by_keyboard(browser: Browser) -> None:
    """What is typed is sent as it stands when a field is left; what Python says is read out and its curve drawn."""
    form = infusion_form(1000)
    with opened(browser, form, width=390) as page:
        page.keyboard.press("Tab")
        for text in ("125 mL/h", "1000 mL", "6 h"):
            page.keyboard.insert_text(text)
            page.keyboard.press("Tab")
        assert state(page, "typed") == {"rate": "125 mL/h", "volume": "1000 mL", "minutes": "6 h"}
        form.typed = {**state(page, "typed"), "minutes": ""}
        page.evaluate(
            "([said, curve]) => { window.model.set('curve', curve); window.model.set('said', said); }",
            [form.said, form.curve],
        )
        assert "takes 8 h" in page.get_by_role("status").inner_text()
        assert page.locator("svg polyline").count() == 1


def test_the_two_bags_by_mouse_and_by_keyboard(browser: Browser) -> None:
    """A wrong step says what happens and is counted; the right one leads on; the picture is told in words."""
    with opened(browser, hang_two_bags()) as page:
        for number, step in enumerate(state(page, "steps")):
            wrong, right = sorted(step["options"], key=lambda option: option["right"])
            page.get_by_role("button", name=wrong["does"], exact=True).click()
            assert page.get_by_role("status").inner_text() == wrong["says"]
            assert state(page, "slips") == number + 1
            page.get_by_role("button", name=right["does"], exact=True).focus()
            page.keyboard.press("Enter")
            assert page.get_by_role("status").inner_text() == right["says"]
            assert page.get_by_text("The diagram shows:").count() == 1
            page.keyboard.press("Enter")  # the button that leads on has the focus
        assert state(page, "step") == 0


@pytest.mark.parametrize("name", SCALED)
def test_a_scaled_device_by_touch(browser: Browser, name: str) -> None:
    """A tap moves to the mark under the finger, and what is heard is what is shown; a tap on a button by one more."""
    widget, _ = SCALED[name]
    with opened(browser, widget, width=390, touch=True) as page:
        place = page.locator("svg").bounding_box()
        assert place
        page.touchscreen.tap(place["x"] + place["width"] / 2, place["y"] + place["height"] / 2)
        mark = state(page, "mark")
        assert 0 < mark < widget.device["marks"]
        assert widget.device["words"][mark] in page.get_by_role("status").inner_text()
        page.get_by_role("button", name=re.compile("One mark (more|down)")).tap()
        assert state(page, "mark") == mark + 1


def test_the_other_devices_by_touch(browser: Browser) -> None:
    """Syringes, clamp, count, form and bags do by a tap what they do by a click."""
    with opened(browser, a_drawer(), width=390, touch=True) as page:
        page.get_by_text("5 mL syringe", exact=True).tap()
        assert state(page, "chosen") == 2
    with opened(browser, DripChamber(play=5), width=390, touch=True) as page:
        page.get_by_role("button", name="Open by 10").tap()
        assert state(page, "mark") == 10
    with opened(browser, DripChamber(9), width=390, touch=True) as page:
        page.get_by_role("button", name="Without movement").tap()
        page.get_by_role("button", name="What falls in 15 s").tap()
        assert page.locator("ol").inner_text().count("drop") == 9
    with opened(browser, infusion_form(1000), width=390, touch=True) as page:
        page.get_by_label("Rate (mL/h)").tap()
        page.keyboard.insert_text("125 mL/h")
        page.get_by_label("Time (min)").tap()
        assert state(page, "typed")["rate"] == "125 mL/h"
    with opened(browser, hang_two_bags(), width=390, touch=True) as page:
        right = next(option for option in state(page, "steps")[0]["options"] if option["right"])
        page.get_by_role("button", name=right["does"], exact=True).tap()
        assert page.get_by_role("status").inner_text() == right["says"]


def test_nothing_moves_for_whoever_asked_for_less_movement(browser: Browser) -> None:
    """No device animates by itself: the chamber, the only one that moves, stands still and tells its drops."""
    item = draw_item(item_model("secondary-rate"), "s1")
    run = what_your_number_would_do(item, practice_engine().judge(item, {"rate": "40 mL/h"})[0])
    for device_shown in (SCALED["bag"][0], a_drawer(), infusion_form(1000), hang_two_bags(), run, DripChamber(9)):
        with opened(browser, device_shown, still=True) as page:
            page.wait_for_timeout(100)
            before = page.locator(".calclib-device").evaluate("node => node.innerHTML")
            page.wait_for_timeout(400)
            assert page.locator(".calclib-device").evaluate("node => node.innerHTML") == before
            assert page.evaluate("document.getAnimations().length") == 0


@pytest.mark.parametrize("hours", [8, 24])
def test_every_line_of_a_time_strip_is_labeled(browser: Browser, hours: int) -> None:
    """However close its lines, no two labels overlap, each stands in the drawing, and crowded ones have a leader."""
    with opened(browser, time_strip("bag_500_mL", hours), width=390) as page:
        page.wait_for_timeout(100)
        words = ["start", *(f"{hour} h" for hour in range(1, hours + 1))]
        boxes = [page.locator("svg text").get_by_text(word, exact=True).bounding_box() for word in words]
        tops = [(box["y"], box["y"] + box["height"]) for box in boxes if box]
        assert len(tops) == hours + 1
        assert all(low[0] >= high[1] - 4 for high, low in pairwise(tops))
        assert page.locator("svg polyline").count() == (hours + 1 if hours == 24 else 0)
        edge = page.locator("svg").bounding_box()
        assert edge and all(box and box["x"] >= edge["x"] for box in boxes)


@pytest.mark.parametrize("light", [True, False])
def test_words_stand_out_from_their_paper(browser: Browser, light: bool) -> None:
    """4.5:1 or more between each text and what lies under it, in the light and in the dark theme."""
    item = draw_item(item_model("secondary-rate"), "s1")
    run = what_your_number_would_do(item, practice_engine().judge(item, {"rate": "40 mL/h"})[0])
    for widget in (SCALED["bag"][0], DripChamber(9), a_drawer(), infusion_form(1000), hang_two_bags(), run):
        with opened(browser, widget, light=light) as page:
            page.wait_for_timeout(100)
            assert page.evaluate(LOW_CONTRAST) == []


# Texts whose color is too near to the nearest painted background, by the formula of WCAG.
LOW_CONTRAST = """() => {
  const parts = (color) => color.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const light = (color) => {
    const [r, g, b] = parts(color).map((v) => v / 255)
      .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const under = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const color = getComputedStyle(at).backgroundColor;
      if (!color.endsWith(", 0)") && color !== "transparent") return color;
    }
    return "rgb(255, 255, 255)";
  };
  const found = [];
  for (const node of document.querySelectorAll(".calclib-device, .calclib-device *")) {
    const own = [...node.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    if (!own || node.disabled) continue;
    const style = getComputedStyle(node);
    const [a, b] = [light(node.namespaceURI.endsWith("svg") ? style.fill : style.color), light(under(node))].sort();
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) found.push([node.textContent.slice(0, 40), ratio]);
  }
  return found;
}"""
