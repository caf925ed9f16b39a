"""Turns the commands of a LaTeX formula into plain signs, keeping the places."""

from __future__ import annotations

import re

from calclib.reading.records import Unreadable
from calclib.wording.facts import fact

_LATEX = re.compile(
    r"\\(?:d?frac|text(?:bf|rm|it)?|math(?:rm|bf|it|sf)|boxed|times|cdot|div|approx|left|right|quad|mu|circ|sqrt"
    r"|rightarrow)(?![A-Za-z])"
)
_COMMANDS = {
    "times": "*",
    "cdot": "*",
    "div": "/",
    "approx": "~",
    "rightarrow": "=",
    "mu": "\u00b5",
    "circ": "°",
    "left": "",
    "right": "",
    "quad": " ",
}
_SPACES = frozenset(",;:! ")
_SIGNS = frozenset("%$")
_DEEPEST = 8

Plain = tuple[str, list[int] | None]


def has_commands(text: str) -> bool:
    """Whether a known command stands in the text."""
    return _LATEX.search(text) is not None


def without_commands(text: str, places: list[int] | None) -> Plain:
    """The formula in plain signs, and for each of them its place; raises Unreadable where braces are missing."""
    formula = _Formula(text)
    formula.run(0)
    whole = "".join(formula.out).replace("^°", " °")
    ends = [*formula.kept, len(text)]
    return whole, ends if places is None else [places[place] for place in ends]


class _Formula:
    def __init__(self, text: str) -> None:
        self.text = text
        self.out: list[str] = []
        self.kept: list[int] = []
        self.deep = 0

    def put(self, plain: str, place: int) -> None:
        self.out.append(plain)
        self.kept.extend([place] * len(plain))

    def run(self, at: int, *, inside: bool = False) -> int:
        """Copies from `at` to the end, or to the brace that closes; gives the place behind it."""
        text = self.text
        while at < len(text):
            if inside and text[at] == "}":
                return at + 1
            at = self._one(at)
        if inside:
            raise Unreadable(fact("unread.brace_not_closed"), at)
        return at

    def _one(self, at: int) -> int:
        text = self.text
        sign, following = text[at], text[at + 1 : at + 2]
        if found := _LATEX.match(text, at):
            return self._command(found.group()[1:], found.end(), at)
        if sign == "\\" and following in _SPACES:
            self.put(" ", at)
            return at + 2
        if sign == "\\" and following in _SIGNS:
            return at + 1
        if sign == "{":
            return self._group(at, "", "")
        self.put(sign, at)
        return self._group(at + 1, "", "") if sign == "^" and following == "{" else at + 1

    def _command(self, name: str, at: int, start: int) -> int:
        if name in ("frac", "dfrac"):
            at = self._group(at, "(", ")")
            self.put("/", at)
            return self._group(at, "(", ")")
        if name == "sqrt":
            self.put("sqrt", start)
            return self._group(at, "(", ")")
        if name in _COMMANDS:
            self.put(_COMMANDS[name], start)
            while name == "mu" and self.text[at : at + 1].isspace():  # \mu g is one unit
                at += 1
            return at
        return self._group(at, " ", " ")

    def _group(self, at: int, before: str, after: str) -> int:
        """Copies what stands in braces from `at` on, in other brackets; gives the place behind it."""
        while self.text[at : at + 1].isspace():
            at += 1
        self.deep += 1
        if self.text[at : at + 1] != "{" or self.deep > _DEEPEST:
            raise Unreadable(fact("unread.cannot_read_formula"), at)
        self.put(before, at)
        at = self.run(at + 1, inside=True)
        self.put(after, at - 1)
        self.deep -= 1
        return at
