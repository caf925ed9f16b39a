"""What only set-ups hold: square roots and times of day."""

from __future__ import annotations

from calclib.reading.grammar.number_words import NumberWordGrammar

_ROOTS = frozenset({"sqrt", "root"})
_HALVES = frozenset({"0.5", ".5"})
_HALVES_OF_DAY = {"am": 0, "a": 0, "pm": 12, "p": 12}
_HOUR_WORDS = frozenset({"h", "hr", "hrs", "hour", "hours"})
_NAMED = {"noon": 720, "midnight": 0}
_SIGNS = ("+", "-")

Clock = tuple[int, str, int]
"""Minutes after midnight, the text, and its place."""


class SetupWordGrammar(NumberWordGrammar):
    """Reads the roots and times of set-ups."""

    __slots__ = ()

    def setup_word(self, ahead: int) -> bool:
        """Whether a word begins a root."""
        return self.token(ahead).text.lower() in (*_ROOTS, "square")

    def root_words(self) -> int:
        """How many tokens say "square root of" here; 0 if none do."""
        words = [self.token(ahead).text.lower() for ahead in range(3)]
        ahead = 2 if words[0] == "square" and words[1] == "root" else 1 if words[0] in _ROOTS else 0
        return ahead + 1 if ahead and words[ahead] == "of" else ahead

    def half_power(self) -> int:
        """How many tokens say "to the power of a half" here: ^0.5, ^(1/2), ^1/2; 0 if none do."""
        bracket = 1 if self.kind(1) == "(" else 0
        first = 1 + bracket
        if self.token(first).text in _HALVES:
            length = 1
        elif [self.token(first + more).text for more in range(3)] == ["1", "/", "2"]:
            length = 3
        else:
            return 0
        if bracket and self.kind(first + length) != ")":
            return 0
        return first + length + bracket

    def clock_time(self) -> Clock | None:
        """Passes over a time of day that something is added to or taken from, or that this comes to."""
        kind, text, start, _ = self.token()
        if kind == "w" and text.lower() in _NAMED and self._is_beside_sign(1):
            self.at += 1
            return _NAMED[text.lower()], text, start
        if kind != "n" or not text.isdigit():
            return None
        found = self._digits(text)
        if found is None:
            return None
        minutes, after = found
        half = _HALVES_OF_DAY.get(self.token(after).text.lower())
        if half is not None and self.kind(after) == "w" and 60 <= minutes < 780:
            minutes = minutes % 720 + 60 * half
            after += 1
        elif len(text) < 3 and after == 1:
            return None
        elif self.token(after).text.lower() in _HOUR_WORDS and after == 1:
            after += 1
        if not self._is_beside_sign(after):
            return None
        first = self.at
        self.at += after
        return minutes, "".join(token.text for token in self.tokens[first : self.at]), start

    def _digits(self, text: str) -> tuple[int, int] | None:
        """The minutes of 0700, 07:00 or 7, and the tokens they take; four digits without a zero could be a number."""
        if len(text) == 4:
            return (60 * int(text[:2]) + int(text[2:]), 1) if text[0] == "0" and text[2:] < "60" else None
        if len(text) > 2 or int(text) > 24:
            return None
        colon, minute = self.token(1), self.token(2)
        if colon.kind == ":" and colon.glued and minute.glued and minute.text.isdigit() and len(minute.text) == 2:
            return (60 * int(text) + int(minute.text), 3) if minute.text < "60" else None
        return 60 * int(text), 1

    def _is_beside_sign(self, after: int) -> bool:
        """Whether plus, minus or the end of the set-up stands beside what `after` tokens take."""
        before = self.tokens[self.at - 1].kind if self.at else ""
        behind = self.kind(after)
        return behind in _SIGNS or (before in _SIGNS and behind != ":") or (before == "=" and behind in ("", "=", "."))
