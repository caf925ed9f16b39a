"""A practice box on a page of its own: its front end with the real box behind it, as in a notebook but without one."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from calclib.widgets.practice import PracticeBox

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

NAMES = ("problem", "told", "heading", "rule")
PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Practice</title>
<meta name="viewport" content="width=device-width"><style>body {{ margin: 12px; background: {paper} }}\n{style}</style>
<body data-jp-theme-light="{light}"><main id="place"></main><script type="module">
{script}
const state = {state}, heard = new Map();
const tell = (name, value) => (heard.get(name) ?? []).forEach((action) => action(value));
const model = {{
  get: (name) => state[name],
  on: (name, action) => heard.set(name, [...(heard.get(name) ?? []), action]),
  off: (name, action) => heard.set(name, (heard.get(name) ?? []).filter((one) => one !== action)),
  send: async (content) => {{
    const answer = await window.pythonGets(content);
    for (const [name, value] of Object.entries(answer.state)) {{ state[name] = value; tell(`change:${{name}}`); }}
    for (const message of answer.messages) tell("msg:custom", message);
  }},
}};
render({{ model, el: document.getElementById("place") }});
</script></body></html>"""


@contextmanager
def opened_box(
    browser: Browser,
    box: PracticeBox,
    *,
    width: int = 1280,
    light: bool = True,
    still: bool = False,
    touch: bool = False,
) -> Iterator[Page]:
    """A box on a page; an error of its script fails the test.

    Args:
        browser: The browser.
        box: The box that judges.
        width: Of the window [px].
        light: Whether the notebook's theme is light.
        still: Whether the person asked the system for less movement.
        touch: Whether the window is touched.
    """
    motion: Any = "reduce" if still else "no-preference"
    context = browser.new_context(viewport={"width": width, "height": 900}, reduced_motion=motion, has_touch=touch)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.expose_function("pythonGets", lambda content: _answer(box, content))
    page.set_content(
        PAGE.format(
            paper="white" if light else "#111111",
            light=str(light).lower(),
            style=str(box._css),
            script=str(box._esm).replace("export default { render };", ""),
            state=json.dumps({name: getattr(box, name) for name in NAMES}).replace("</", "<\\/"),
        )
    )
    page.locator(".calclib-practice h3").wait_for()
    yield page
    context.close()
    assert errors == []


def _answer(box: PracticeBox, content: Any) -> dict[str, Any]:
    before = {name: getattr(box, name) for name in NAMES}
    messages: list[Any] = []
    box.send = lambda content, buffers=None: messages.append(content)  # type: ignore[method-assign]
    box._handle_custom_msg(content, [])
    changed = {name: getattr(box, name) for name in NAMES if getattr(box, name) != before[name]}
    return {"state": changed, "messages": messages}
