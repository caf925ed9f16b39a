"""The sources of a lesson, and published figures, as lists on its page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from calclib.lessons.citations import cited_by, cited_volumes
from calclib.widgets.asleep import Text


@dataclass(frozen=True)
class Listed(Text):
    """A list on a page.

    Args:
        lines: Its lines.
    """

    lines: tuple[str, ...]

    def _repr_html_(self) -> str:
        return f"<ul class='calclib-lesson-list' style='overflow-wrap: anywhere'>{_items(self.lines)}</ul>"

    def __repr__(self) -> str:
        return "\n".join(f"- {line}" for line in self.lines)


def lesson_sources(name: str) -> Listed:
    """The sources that a lesson names.

    Args:
        name: The lesson's name, such as “measures”.

    Raises:
        BadInput: There is no such lesson.
    """
    return Listed(cited_by(name))


def published_volumes() -> Listed:
    """Published figures on what lines and bags really hold, each with its source."""
    return Listed(cited_volumes())


def _items(lines: Iterable[str]) -> str:
    return "".join(f"<li>{escape(line)}</li>" for line in lines)
