"""A device on a page of its own: its front end with a model of a few lines, as in a notebook but without one."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from calclib.widgets.devices.scripts import script
from calclib.widgets.styles import styles
from tests.browser.lab import FLAGS

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Device</title>
<meta name="viewport" content="width=device-width"><style>body {{ margin: 12px; background: {paper} }}\n{style}</style>
<body data-jp-theme-light="{light}"><main id="place"></main><script type="module">
{script_without_export}
const state = {state}, heard = new Map();
const model = {{
  get: (name) => state[name],
  set: (name, value) => {{ state[name] = value; for (const one of heard.get(`change:${{name}}`) ?? []) one(); }},
  save_changes: () => {{}},
  on: (name, action) => heard.set(name, [...(heard.get(name) ?? []), action]),
  off: (name, action) => heard.set(name, (heard.get(name) ?? []).filter((one) => one !== action)),
}};
window.state = state;
window.model = model;
render({{ model, el: document.getElementById("place") }});
</script></body></html>"""


def page_of(device: Any, *, light: bool = True) -> str:
    """The page of a device.

    Args:
        device: What has a script and traits that go to the page, or the runs of a wrong number.
        light: Whether the notebook's theme is light.
    """
    name, state = ("compared", device) if isinstance(device, dict) else (device.script, state_of(device))
    return PAGE.format(
        paper="white" if light else "#111111",
        light=str(light).lower(),
        style=styles("devices/front_end/devices.css"),
        script_without_export=script(name).replace("export default { render };", ""),
        state=json.dumps(state).replace("</", "<\\/"),
    )


def state_of(device: Any) -> dict[str, Any]:
    """What goes to the page."""
    names = [name for name in device.trait_names(sync=True) if not name.startswith("_")]
    return {name: getattr(device, name) for name in names if name not in ("layout", "comm", "tabbable", "tooltip")}


@contextmanager
def running_browser(path: str) -> Iterator[Browser]:
    """The browser of this system, for a few pages."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


@contextmanager
def opened(
    browser: Browser, widget: Any, *, width: int = 900, light: bool = True, still: bool = False, touch: bool = False
) -> Iterator[Page]:
    """A widget on a page of its own; an error of its script fails the test."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, reduced_motion="reduce" if still else "no-preference", has_touch=touch
    )
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.set_content(page_of(widget, light=light))
    page.locator(".calclib-device").wait_for()
    yield page
    context.close()
    assert errors == []
