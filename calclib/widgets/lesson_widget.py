"""What questions and worked examples have in common on a page: what is shown, what is told, and what is sent back."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import anywidget
import traitlets

from calclib.widgets.asleep import Waking
from calclib.widgets.styles import styles
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.answers import PartVerdict
    from calclib.items import Item

FAILED = (
    "Something failed here ({what}). Choose Run All Cells in the Run menu, and tell your instructor if it stays so."
)
ANSWERS_TO_HELP = 2
"""Wrong answers after which the way is offered."""


class LessonWidget(Waking, anywidget.AnyWidget):
    """A widget that shows what it holds and tells what Python makes of an answer."""

    _esm = Path(__file__).parent / "lesson.js"
    _css = styles("lesson.css")
    shown = traitlets.Dict().tag(sync=True)
    told = traitlets.Dict().tag(sync=True)

    def __init__(self, shown: Mapping[str, Any]) -> None:
        super().__init__(shown=dict(shown), told={})
        self.answers = 0
        self.on_msg(self._received)

    def _received(self, _: object, content: Any, __: object) -> None:
        if not isinstance(content, dict):
            return
        self.answers += 1
        try:
            told = self.tell(content)
        except Exception as error:  # noqa: BLE001 - whatever fails, a student is never shown a traceback
            told = self.failed(FAILED.format(what=type(error).__name__))
        self.told = {**told, "answers": self.answers}  # the count makes it a change, so that the page hears of it

    def tell(self, content: Mapping[str, Any]) -> dict[str, Any]:
        """Return what is told of what was sent."""
        raise NotImplementedError

    def failed(self, words: str) -> dict[str, Any]:
        """Return what is told where this program fails."""
        return {"right": False, "head": words, "lines": [], "found": [{"right": False, "head": words, "lines": []}]}


def verdict_told(verdict: PartVerdict, *, chosen: bool = False) -> dict[str, Any]:
    """Return a verdict as it is told in a lesson: a heading, how the answer was read, and what it may come from.

    Args:
        verdict: The verdict.
        chosen: Whether the answer was chosen; there is no reading of it to tell then.
    """
    if verdict.verdict == "blank":
        return {"right": False, "head": said("practice.type_first"), "lines": []}
    unread = verdict.verdict in ("unread", "not_judged")
    wrong = said("practice.unread" if unread else "check_cell.not_right")
    head = said("check_cell.right") if verdict.right else wrong
    shown = getattr(verdict.reading, "shown", "")
    reason = str(getattr(verdict.reading, "reason", "")) if unread else ""
    plain = verdict.right and not verdict.notices and verdict.told == (fact("verdict.right"),)
    lines = [said("practice.read_as_line", shown=shown)] if shown and not chosen else []
    lines += [line for line in (reason or verdict.message).split("\n") if line.strip() and not plain]
    return {"right": verdict.right, "head": head, "lines": lines}


def drawings_of(item: Item) -> list[str]:
    """Return the drawings and papers of an item for a page, each with its words for who can't see it."""
    if not item.pictures:
        return []
    from calclib.plots import picture_html

    return [picture_html(picture) for picture in item.pictures]
