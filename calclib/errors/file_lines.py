"""On which line of a TOML file something stands."""

from __future__ import annotations

import re
from collections.abc import Sequence

Place = Sequence[str | int]

_HEAD = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?")
_KEY = re.compile(r"\s*[\"']?([A-Za-z0-9_-]+)[\"']?\s*=")
_LONG_TEXT = re.compile(r'"""|' + r"'''")


class FileLines:
    """The lines of the tables and keys of a TOML text.

    Args:
        text: The text.
    """

    def __init__(self, text: str) -> None:
        self._lines: dict[tuple[str | int, ...], int] = {}
        counts: dict[str, int] = {}
        head: tuple[str | int, ...] = ()
        in_long_text = False
        for number, line in enumerate(text.split("\n"), 1):
            if not in_long_text:
                if found := _HEAD.match(line):
                    name = found[2]
                    head = tuple(name.split("."))
                    self._lines.setdefault(head, number)
                    if found[1] == "[[":
                        counts[name] = counts.get(name, -1) + 1
                        head = (*head, counts[name])
                    self._lines.setdefault(head, number)
                elif found := _KEY.match(line):
                    self._lines.setdefault((*head, found[1]), number)
            if len(_LONG_TEXT.findall(line)) % 2:
                in_long_text = not in_long_text

    def line(self, place: Place) -> int | None:
        """Return the line of a place such as ("step", 1, "of"), or of the nearest place around it; () is line 1."""
        if not place:
            return 1
        for length in range(len(place), 0, -1):
            if (found := self._lines.get(tuple(place[:length]))) is not None:
                return found
        return None
