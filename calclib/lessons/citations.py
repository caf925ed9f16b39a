"""What a lesson cites, and published figures, line by line."""

from __future__ import annotations

from calclib.lessons.reader import lesson
from calclib.sources import source
from calclib.timeline.cautions import typical_volumes


def cited_by(name: str) -> tuple[str, ...]:
    """Return the sources that a lesson names, each once.

    Args:
        name: The lesson's name, such as “measures”.

    Raises:
        BadInput: There is no such lesson.
    """
    of_lesson = lesson(name)
    asked = (key for question in of_lesson.questions.values() for key in question.sources)
    return tuple(source(key).cite() for key in dict.fromkeys((*of_lesson.sources, *asked)))


def cited_volumes() -> tuple[str, ...]:
    """Return published figures on what lines and bags really hold, each with its source."""
    return tuple(f"{one.says} {source(one.source).cite()}" for one in typical_volumes())
