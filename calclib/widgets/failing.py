"""What a student is told where something fails: one sentence, never a traceback."""

from __future__ import annotations

from calclib.errors import CalclibError

_ENDS = (".", "?", "!", "…", ".”", "?”")
UNEXPECTED = "Something failed here ({what}); try another value or a new problem, and tell your teacher if it stays so."


def failure_sentence(error: Exception) -> str:
    """Return the sentence of an error: its own if it was made for people.

    Args:
        error: What was raised.
    """
    if not isinstance(error, CalclibError):
        return UNEXPECTED.format(what=type(error).__name__)
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith(_ENDS) else '.'}"
