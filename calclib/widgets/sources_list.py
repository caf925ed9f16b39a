"""The sources of a lesson, at its end."""

from __future__ import annotations

from html import escape

from IPython.display import HTML

from calclib.lessons import lesson
from calclib.sources import source


def lesson_sources(name: str) -> HTML:
    """The sources that a lesson names, as a list.

    Args:
        name: The lesson's name, such as “measures”.

    Raises:
        BadInput: There is no such lesson.
    """
    of_lesson = lesson(name)
    asked = (key for question in of_lesson.questions.values() for key in question.sources)
    keys = dict.fromkeys((*of_lesson.sources, *asked))
    return HTML(f"<ul>{''.join(f'<li>{escape(source(key).cite())}</li>' for key in keys)}</ul>")


def published_volumes() -> HTML:
    """Published figures on what lines and bags really hold, each with its source."""
    from calclib.timeline import typical_volumes

    rows = (f"<li>{escape(one.says)} {escape(source(one.source).cite())}</li>" for one in typical_volumes())
    return HTML(f"<ul>{''.join(rows)}</ul>")
