"""Takes a set-up that runs over several lines apart: one calculation on each, or one that goes on."""

from __future__ import annotations

import re

from calclib.reading.records import Unreadable
from calclib.wording.facts import fact

MOST_LINES = 8
# Between two calculations: a line's end, a semicolon, "then", or a comma behind a result.
_BREAK = re.compile(r"[\n;]|,(?=[ \t]+[A-Za-z0-9(])|[,.]?[ \t]+(?:and[ \t]+)?then[ \t]+(?=[0-9(])", re.IGNORECASE)
_MAYBE = re.compile(r"[\n;,]|then", re.IGNORECASE)
_NUMBERED = re.compile(
    r"[ \t]*(?:[-*\u00b7][ \t]+|\(?[0-9]{1,2}[.)][ \t]+|step[ \t]*[0-9]{1,2}[ \t]*[.):-]?[ \t]*)", re.IGNORECASE
)
_GOES_ON = re.compile(r"[ \t]*(?:[=~*/+\u00f7\u00b7:)-]|[xX](?=[ \t]))")
_OPEN = re.compile(r"(?:[=*/+\u00f7\u00b7:(-]|[ \t][xX])[ \t]*\Z")


def lines_of(text: str) -> list[tuple[int, str]]:
    """The calculations of a plain set-up with the place of each; raises Unreadable if there are too many."""
    if _MAYBE.search(text) is None:
        return [(0, text)]
    pieces = _pieces(text)
    if len(pieces) > 1 and all(_NUMBERED.match(piece) for _, piece in pieces):
        ends = [(place, piece, len(piece) - len(_NUMBERED.sub("", piece, count=1))) for place, piece in pieces]
        pieces = [(place + end, piece[end:]) for place, piece, end in ends]
    lines: list[tuple[int, str]] = []
    for place, piece in pieces:
        if lines and (_GOES_ON.match(piece) or _OPEN.search(lines[-1][1])):
            start, before = lines[-1]
            lines[-1] = (start, before + " " * (place - start - len(before)) + piece)
        else:
            lines.append((place, piece))
    if len(lines) > MOST_LINES:
        raise Unreadable(fact("unread.too_many_lines"), lines[MOST_LINES][0])
    return lines


def _pieces(text: str) -> list[tuple[int, str]]:
    found: list[tuple[int, str]] = []
    start = 0
    for end in _BREAK.finditer(text):
        if end.group()[0] == "," and "=" not in text[start : end.start()]:
            continue  # 8 h, 30 min
        found.append((start, text[start : end.start()]))
        start = end.end()
    found.append((start, text[start:]))
    return [(place, piece) for place, piece in found if any(sign.isdigit() for sign in piece)] or [(0, text)]
