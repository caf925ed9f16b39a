"""Finds the typed text in the source of an answer cell, without ever running it.

A cell such as ``answer_1 = "125 mL/h"`` is read line by line. What Python would refuse but a person reads without
doubt is accepted: curly quotes, no quotes, a quote lost, one assignment under another name. Two different texts under
one name are refused: which of them is meant is for a person to say. An empty text beside a typed one doesn't count.
What stands behind a # is no answer; where nothing else was typed it is handed back apart.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, replace

from calclib.reading.records import Unread, Unreadable
from calclib.wording.facts import fact

# The comment line of an answer cell, the same in class sets and in the released practice sets.
PLACE = "# Type your answer between the quotes."
BEHIND = fact("unread.behind_number_sign")
LONGEST_CELL = 4_000
MOST_LINES = 200
LONGEST_LINE = 1_000

_ASSIGNMENT = re.compile(r"[ \t]*([^\W\d]\w*)[ \t]*(?::[ \t]*str[ \t]*)?(==?|:)(?![=:])[ \t]*(.*)", re.DOTALL)
_AUGMENTED = re.compile(r"[ \t]*([^\W\d]\w*)[ \t]*(?:[-+*/%|&^@]|//|\*\*|<<|>>|:)=")
_PREFIXED = re.compile(r"[fFbBtT][rR]?[\"']|[rR][fFbBtT][\"']")
_HARMLESS_PREFIX = re.compile(r"[rRuU](?=[\"'])")
_CALL = re.compile(r"[^\W\d][\w.]*[ \t]*\(")
_CLOSED = re.compile(r"[ \t\r;]*(?:#|\Z)")
_STATEMENT = re.compile(r"[^\W\d][\w.]*[ \t]*\(.*\)")
_STRAIGHT = "\"'"
_CURLY = "\u201c\u201d\u201e\u201f\u2018\u2019\u201b\u00ab\u00bb`"
_BLOCKS = frozenset({"if", "else", "for", "while", "try", "def", "class", "with", "finally"})
_NOTHING = frozenset({"", "None", "...", "pass", "raise NotImplementedError()", "raise NotImplementedError"})
_ESCAPES = {"\\": "\\", "'": "'", '"': '"', "n": "\n", "t": "\t", "r": "\r", "\n": ""}
# Comments that say nothing: those of the notebook itself, pieces of them, and an empty answer line switched off.
_OWN_COMMENTS = ("type your answer between the quotes", "your code here", "begin solution", "end solution")
_SHORTEST_PIECE = 3
_SWITCHED_OFF = re.compile(r"\w+\s*=\s*[\"']{0,2}\s*")
_COMPUTED_ESCAPES = frozenset("abfvxuUN01234567")


@dataclass(frozen=True)
class CellText:
    """The typed text of an answer cell.

    Attributes:
        text: The text, "" for nothing typed.
        line: The line (from 1) on which it begins.
        behind: Where nothing was typed, what a person wrote behind a # instead; "" for nothing.
    """

    text: str
    line: int
    behind: str = ""


@dataclass(frozen=True)
class _Assigned:
    name: str
    found: CellText
    position: int
    fault: Unreadable | None = None


def read_answer_cell(source: str, name_hint: str | None = None) -> CellText | Unread:
    """The typed text in the source of a cell, or why it can't be told.

    Args:
        source: Source of the cell. It is never run.
        name_hint: The name to which the answer is assigned; other names in the cell are then passed over.

    Returns:
        CellText; its text is empty if nothing was typed. Unread holds the source and the place in it. No source raises.
    """
    if len(source) > LONGEST_CELL:
        return Unread(source, fact("unread.cell_too_long"), LONGEST_CELL)
    try:
        found = _Cell(source).answer(name_hint)
    except Unreadable as stop:
        return Unread(source, stop.why, stop.position)
    return found if found.text.strip() else replace(found, behind=_behind(source))


def assigned_names(source: str) -> tuple[str, ...]:
    """Return the names to which something is assigned in a cell, in their order.

    Args:
        source: Source of the cell. It is never run.
    """
    if len(source) > LONGEST_CELL:
        return ()
    cell = _Cell(source)
    with suppress(Unreadable):  # what was found before the fault counts
        cell.look()
    return tuple(dict.fromkeys(one.name for one in cell.assigned))


def says_anything(source: str) -> bool:
    """Tell whether a cell holds anything but comments, code that is plainly none of an answer, and empty answers.

    Args:
        source: Source of the cell.
    """
    lines = (line.strip() for line in source.split("\n"))
    return any(line and not line.startswith("#") and not _is_code(line) for line in lines)


class _Cell:
    def __init__(self, source: str) -> None:
        self.source = source
        self.at = 0
        self.line = 1
        self.assigned: list[_Assigned] = []
        self.stray: list[tuple[str, int, int]] = []
        self.lost_quote = -1

    def look(self) -> None:
        """Note what stands in each line."""
        while self.at < len(self.source):
            if self.line > MOST_LINES:
                raise Unreadable(fact("unread.cell_has_too_many_lines_hold_answer"), self.at)
            self._line()

    def answer(self, name: str | None) -> CellText:
        self.look()
        if self.lost_quote >= 0 and self.stray and self.stray[-1][2] > self.lost_quote:
            raise Unreadable(fact("unread.quote_not_closed_in_cell"), self.lost_quote)
        if not self.assigned:
            return self._lone_text()
        return self._chosen(name)

    def _line(self) -> None:
        end = self.source.find("\n", self.at)
        end = len(self.source) if end < 0 else end
        line = self.source[self.at : end]
        start, bare = self.at, line.strip()
        if not bare or bare.startswith("#"):
            pass
        elif found := _AUGMENTED.match(line):
            changed = Unreadable(fact("unread.answer_changed_by_code"), start)
            self.assigned.append(_Assigned(found.group(1), CellText("", self.line), start, changed))
        elif (found := _ASSIGNMENT.fullmatch(line)) and not found.group(1).isnumeric():
            place = start + found.start(3)
            if found.group(2) == ":" and found.group(1).lower() in _BLOCKS:
                self.stray.append((bare, self.line, start))
            else:
                end = self._assign(found.group(1), place, end, start)
        else:
            self.stray.append((bare, self.line, start + len(line) - len(line.lstrip())))
        self.line += self.source.count("\n", self.at, min(end + 1, len(self.source)))
        self.at = end + 1

    def _assign(self, name: str, place: int, end: int, start: int) -> int:
        """Notes what is assigned to a name, and where its line ends; a fault counts only for the answer's name."""
        try:
            text, end = self._text(place, end)
        except Unreadable as stop:
            self.assigned.append(_Assigned(name, CellText("", self.line), start, stop))
        else:
            self.assigned.append(_Assigned(name, CellText(text, self.line), start))
        return end

    def _chosen(self, name: str | None) -> CellText:
        candidates = self.assigned
        if name is not None:
            wanted = [one for one in candidates if one.name == name]
            wanted = wanted or [one for one in candidates if same_name(one.name, name)]
            candidates = wanted or candidates
            if not wanted and _ends_apart(candidates[0].name, name):
                other = candidates[0]
                raise Unreadable(fact("unread.cell_holds", other=other.name[:40], name=name), other.position)
        if len({one.name for one in candidates}) > 1:
            raise Unreadable(fact("unread.several_names_assigned_in_cell"), candidates[1].position)
        for one in candidates:
            if one.fault is not None:
                raise one.fault
        typed = [one for one in candidates if one.found.text.strip()]
        if not typed:
            if texts := [stray for stray in self.stray if not _is_code(stray[0])]:
                raise Unreadable(fact("unread.text_outside_quotes"), texts[0][2])
            return candidates[-1].found
        if len({one.found.text.strip() for one in typed}) > 1:
            raise Unreadable(fact("unread.two_different_answers_typed_in_cell"), typed[1].position)
        return typed[-1].found

    def _lone_text(self) -> CellText:
        lines = [stray for stray in self.stray if stray[0] not in _NOTHING]
        if not lines:
            return CellText("", 1)
        _, number, start = lines[0]
        if len(lines) > 1:
            raise Unreadable(fact("unread.several_lines"), lines[1][2])
        end = self.source.find("\n", start)
        return CellText(self._text(start, len(self.source) if end < 0 else end)[0], number)

    def _text(self, start: int, end: int) -> tuple[str, int]:
        """The text that begins at `start`, and where its line ends."""
        source = self.source
        if end - start > LONGEST_LINE:
            raise Unreadable(fact("unread.line_too_long_hold_answer"), start)
        rest = source[start:end]
        if _PREFIXED.match(rest):
            raise Unreadable(fact("unread.type_answer_between_plain_quotes_without_letter"), start)
        if found := _HARMLESS_PREFIX.match(rest):
            start, raw = start + found.end(), found.group().lower() == "r"
            rest = source[start:end]
        else:
            raw = False
        if rest.startswith("("):
            inner = rest[1:].lstrip()
            if inner[:1] and inner[0] in _STRAIGHT:
                return self._in_brackets(start, end)
            if not inner:
                raise Unreadable(fact("unread.bracket_not_closed_in_line"), start)
        if rest[:3] in ('"""', "'''"):
            return self._triple(start, raw)
        if rest and rest[0] in _STRAIGHT:
            return self._quoted(start, end, raw), end
        if rest and rest[0] in _CURLY:
            return self._curly(start, end), end
        return self._unquoted(start, end), end

    def _in_brackets(self, start: int, end: int) -> tuple[str, int]:
        close = self.source.rfind(")", start, end)
        if close < 0:
            raise Unreadable(fact("unread.bracket_not_closed_in_line"), start)
        self._nothing_more(close + 1, end)
        inside = start + 1 + len(self.source[start + 1 : close]) - len(self.source[start + 1 : close].lstrip())
        return self._quoted(inside, close, False), end

    def _nothing_more(self, start: int, end: int) -> None:
        rest = self.source[start:end].strip(" \t\r;")
        if rest and not rest.startswith("#"):
            raise Unreadable(fact("unread.more_behind_closing_quote"), start)

    def _triple(self, start: int, raw: bool) -> tuple[str, int]:
        mark = self.source[start : start + 3]
        close = self.source.find(mark, start + 3)
        if close < 0:
            raise Unreadable(fact("unread.quote_not_closed_or_two"), start)
        line_end = self.source.find("\n", close)
        line_end = len(self.source) if line_end < 0 else line_end
        self._nothing_more(close + 3, line_end)
        text = self.source[start + 3 : close]
        return (text if raw else self._unescaped(text, start + 3)), line_end

    def _quoted(self, start: int, end: int, raw: bool) -> str:
        mark = self.source[start]
        last = self.source.rfind(mark, start + 1, end)
        place = start + 1
        while place < end:
            sign = self.source[place]
            if sign == "\\":
                place += 2
                continue
            if sign == mark or (sign in _CURLY and place > last and self._closes(place, end)):
                self._nothing_more(place + 1, end)
                text = self.source[start + 1 : place]
                return text if raw else self._unescaped(text, start + 1)
            place += 1
        return self._open_ended(start + 1, end)

    def _closes(self, place: int, end: int) -> bool:
        return _CLOSED.match(self.source, place + 1, end) is not None

    def _curly(self, start: int, end: int) -> str:
        for place in range(end - 1, start, -1):
            if self.source[place] in _CURLY + _STRAIGHT and self._closes(place, end):
                inner = self.source[start + 1 : place]
                if "#" in inner or any(sign in inner for sign in '"\u201c\u201d\u201e`'):
                    raise Unreadable(fact("unread.cannot_tell_where_answer_ends"), start)
                return inner
        return self._open_ended(start + 1, end)

    def _open_ended(self, start: int, end: int) -> str:
        """A text whose closing quote is lost: the rest of the line without a comment."""
        self.lost_quote = start
        rest = self.source[start:end].partition("#")[0].strip()
        if rest.endswith("\\") or any(sign in rest for sign in '"\u201c\u201d'):
            raise Unreadable(fact("unread.quote_not_closed"), start)
        return rest.rstrip("'").rstrip()

    def _unquoted(self, start: int, end: int) -> str:
        rest = self.source[start:end].partition("#")[0].strip().rstrip(";").rstrip()
        if rest in _NOTHING:
            return ""
        if _CALL.match(rest) and not rest.split("(")[0].strip().isnumeric():
            raise Unreadable(fact("unread.type_answer_itself_between_quotes"), start)
        if rest[-1] in _STRAIGHT + _CURLY:
            rest = rest[:-1].rstrip()
        if rest.endswith("\\") or any(sign in rest for sign in '"\u201c\u201d`'):
            raise Unreadable(fact("unread.cannot_tell_where_answer_begins"), start)
        return rest

    def _unescaped(self, text: str, start: int) -> str:
        """A quoted text as Python would have it; an escape that computes a sign is refused."""
        if "\\" not in text:
            return text
        out: list[str] = []
        place = 0
        while place < len(text):
            sign = text[place]
            following = text[place + 1 : place + 2]
            if sign != "\\" or (following not in _ESCAPES and following not in _COMPUTED_ESCAPES):
                out.append(sign)
                place += 1
            elif following in _COMPUTED_ESCAPES:
                raise Unreadable(fact("unread.backslash_in_answer"), start + place)
            else:
                out.append(_ESCAPES[following])
                place += 2
        return "".join(out)


def _behind(source: str) -> str:
    """The comments of a cell that a person wrote and that say something."""
    comments = (line.partition("#")[2].strip(" \t\r#") for line in source.split("\n"))
    return " ".join(one for one in comments if _says_something(one))


def _says_something(comment: str) -> bool:
    words = " ".join(re.findall(r"[^\W_]+", comment.lower()))
    if not words or _SWITCHED_OFF.fullmatch(comment):
        return False
    return len(words) < _SHORTEST_PIECE or not any(
        own.startswith(words) or f" {words} " in f" {own} " for own in _OWN_COMMENTS
    )


def same_name(name: str, hint: str) -> bool:
    """Tell whether two names are one to a person: Answer_1, answer1 and answer_1."""
    return name.lower().replace("_", "") == hint.lower().replace("_", "")


def _ends_apart(name: str, hint: str) -> bool:
    """Whether two names differ in their closing number alone: the answer to another question."""
    stem = hint.rstrip("0123456789")
    return stem != hint and name.lower().startswith(stem.rstrip("_").lower()) and name[-1].isdigit()


def _is_code(line: str) -> bool:
    """Whether a line beside the assignment is plainly code and no typed answer."""
    return line in _NOTHING or line.startswith(("import ", "from ", "%", "!")) or bool(_STATEMENT.fullmatch(line))
