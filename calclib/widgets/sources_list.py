"""The sources of a lesson, and published figures, as lists on its page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from calclib.lessons import lesson
from calclib.sources import source
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
    of_lesson = lesson(name)
    asked = (key for question in of_lesson.questions.values() for key in question.sources)
    return Listed(tuple(source(key).cite() for key in dict.fromkeys((*of_lesson.sources, *asked))))


def published_volumes() -> Listed:
    """Published figures on what lines and bags really hold, each with its source."""
    from calclib.timeline import typical_volumes

    return Listed(tuple(f"{one.says} {source(one.source).cite()}" for one in typical_volumes()))


def _items(lines: Iterable[str]) -> str:
    return "".join(f"<li>{escape(line)}</li>" for line in lines)
