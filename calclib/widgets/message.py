"""Text that changes under controls: escaped, announced, and one sentence when something fails."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape

import ipywidgets

from calclib.widgets.failing import failure_sentence


class Message:
    """A place for sentences under or between controls.

    Args:
        what: What the place is for, for programs that look for it.
        announced: Whether a change is read out.
    """

    def __init__(self, what: str, *, announced: bool = True) -> None:
        self.widget = ipywidgets.HTML()
        self.what = what
        self.role = ' role="status"' if announced else ""
        self.clear()

    def say(self, *paragraphs: str) -> None:
        """Show paragraphs of plain text; blank lines are left out."""
        self.show("".join(paragraph_html(text) for text in paragraphs if text))

    def show(self, html: str) -> None:
        """Show HTML whose text is already escaped."""
        self.widget.value = f'<div{self.role} class="calclib-{self.what}">{html}</div>'

    def clear(self) -> None:
        """Show nothing."""
        self.show("")

    @contextmanager
    def reporting(self) -> Iterator[None]:
        """Say in one sentence what failed, instead of a traceback."""
        try:
            yield
        except Exception as error:  # noqa: BLE001 - whatever fails, a student is never shown a traceback
            self.say(failure_sentence(error))


def paragraph_html(text: str) -> str:
    """Plain text as a paragraph; line breaks stay."""
    lines = escape(text.strip()).replace("\n", "<br>")
    return f'<p style="margin: 0.3em 0; line-height: 1.45">{lines}</p>'


def button(text: str, action: Callable[[], None], *, strong: bool = False) -> ipywidgets.Button:
    """A button that calls an action without arguments."""
    made = ipywidgets.Button(
        description=text, button_style="primary" if strong else "", layout=ipywidgets.Layout(width="auto")
    )
    made.on_click(lambda _: action())
    return made
