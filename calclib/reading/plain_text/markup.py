"""Takes the marks of Markdown and LaTeX off a plain text, keeping the places.

Marks are taken off only in pairs around words, so that no times sign, power or minus is lost. A dash at the beginning
stays, since it could be a minus sign, and so does a greater-than sign; what is struck out is refused.
"""

from __future__ import annotations

import re

from calclib.reading.plain_text.latex import Plain, has_commands, without_commands
from calclib.reading.records import Unreadable
from calclib.wording.facts import fact

_MAYBE = re.compile(r"[*_`$#\\~|]")
_BEFORE, _AFTER = r"(?<![^\s(\[=:*_`$])", r"(?![^\s)\].,;:!?*_`$])"
_EMPHASIS = re.compile(rf"{_BEFORE}(\*{{1,3}}|_{{1,3}}|`{{1,3}})(?=[^\s*_`])([^*_`]*[^\s*_`])(\1){_AFTER}")
_FENCE = re.compile(r"\A\s*(```)[a-z]*\n(.*)\n(```)\s*\Z", re.DOTALL)
_BULLET = re.compile(r"\A\s*([*\u00b7])(?=\s)")
_HEADING = re.compile(r"\A\s*(#{2,6}|#(?=\s+[^#]*[0-9]\s*[A-Za-z%]))\s")
_STRUCK = re.compile(r"~~\s*[^~\s]")
_DOLLARS = re.compile(r"(\${1,2})([^$\n]{1,200})(\1)")


def without_markup(text: str, places: list[int] | None) -> Plain:
    """The text without marks of Markdown and LaTeX, and for each character its place (None: the places are the same).

    Raises Unreadable where something is struck out.
    """
    if _MAYBE.search(text) is None:
        return text, places
    if struck := _STRUCK.search(text):
        raise Unreadable(fact("unread.something_struck_out"), struck.start())
    if fence := _FENCE.match(text):
        text = _blanked(text, (fence.start(1), fence.start(2)), fence.span(3))
    for mark in (_BULLET, _HEADING):
        if found := mark.match(text):
            text = _blanked(text, found.span(1))
    for _ in range(3):  # bold around slanted around code
        text, count = _EMPHASIS.subn(_without_ends, text)
        if not count:
            break
    # Two dollar signs around numbers are marks; one is money.
    text, dollars = _DOLLARS.subn(_without_ends, text)
    if not has_commands(text) and not (dollars and "\\" in text):
        return text, places
    return without_commands(text, places)


def _blanked(text: str, *spans: tuple[int, int]) -> str:
    for start, end in spans:
        text = text[:start] + " " * (end - start) + text[end:]
    return text


def _without_ends(found: re.Match[str]) -> str:
    beside = found.string[max(found.start() - 1, 0) : found.start()] + found.string[found.end() : found.end() + 1]
    if found[1][0] in beside:
        return found[0]  # 9**9**9
    return " " * len(found[1]) + found[2] + " " * len(found[3])
