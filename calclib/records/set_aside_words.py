"""Why a notebook was set aside, as faculty reads it and as its student does."""

from __future__ import annotations

_MADE_FOR = "The notebook was made for "
_SOMEBODY_ELSE = "somebody else"


def made_for(owner: str | None) -> str:
    """Return that a notebook was made for another student, for faculty.

    Args:
        owner: The id of that student, None if nobody of the class is known by the notebook's pseudonym.
    """
    return f"{_MADE_FOR}{f'student {owner}' if owner else _SOMEBODY_ELSE}."


def for_the_student(reason: str) -> str:
    """Return a reason as the student whose notebook was set aside may read it: it names no other student."""
    if reason.startswith(_MADE_FOR) and reason != made_for(None):
        return f"{_MADE_FOR}another student."
    return reason
