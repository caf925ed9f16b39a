"""Numbers of things in sentences: "1 answer waits", "2 answers wait"."""

from __future__ import annotations


def counted(number: int | str, one: str, many: str = "") -> str:
    """Return a number with its noun; `number` may be a range such as "1 to 2".

    Args:
        number: How many.
        one: The noun for one of them.
        many: The noun for several; `one` with an s if left out.
    """
    return f"{number} {one if str(number) == '1' else many or one + 's'}"


def wait(number: int) -> str:
    """Return the verb that goes with so many things that wait."""
    return "waits" if number == 1 else "wait"
