"""The grammar of numbers in words: one hundred and twenty-five, two and a half, zero point five, a thousand."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.grammar.units import UnitGrammar
from calclib.reading.plain_text.tokens import Token
from calclib.reading.records import Unreadable
from calclib.reading.vocabulary import FRACTIONS, NUMBERS, SCALES
from calclib.wording.facts import fact

_ONE = ("a", "an")
_MOST_DECIMALS = 4


class NumberWordGrammar(UnitGrammar):
    """Reads a number that is spelled out."""

    __slots__ = ()

    def begins_number(self, token: Token) -> bool:
        """Whether a word begins a number or fraction."""
        word = token.text.lower()
        return word in NUMBERS or word in FRACTIONS

    def stands_for_number(self, place: int) -> bool:
        """Whether a number in words begins at token `place`; "a" before it makes "hundred" and "tablet" one of them."""
        token = self.tokens[place]
        word = token.text.lower()
        if self.begins_number(token):
            return True
        if word == "hour" and self.tokens[place + 1].text.lower() == "and":  # hour and a half
            return True
        if word == "point":
            return NUMBERS.get(self.tokens[place + 1].text.lower(), 10) < 10
        article = place > 0 and self.tokens[place - 1].text.lower() in _ONE
        return article and (word in SCALES or self.unit_word(place) is not None)

    def number_words(self) -> tuple[Fraction, int | None]:
        """The number that begins here and its decimals (None for a fraction); raises Unreadable if it isn't one."""
        start = self.token().start
        word = self.token().text.lower()
        if word in FRACTIONS:
            if word[-1] == "s":
                raise Unreadable(fact("unread.cannot_read_fraction"), start)
            self.at += 1
            return Fraction(1, FRACTIONS[word]), None
        if word == "point":
            return self._decimals(0)
        if word not in NUMBERS and word not in SCALES:
            return Fraction(1), 0  # a tablet
        total = self._below_hundred() if word in NUMBERS else 1
        if (size := FRACTIONS.get(self.token(self._hyphen()).text.lower())) is not None:
            self.at += self._hyphen() + 1
            if total == 0 or total >= size:
                raise Unreadable(fact("unread.cannot_read_fraction"), start)
            return Fraction(total, size), None
        total = self._scaled(total)
        if self.token().text.lower() == "point":
            return self._decimals(total)
        if (fraction := self._joined_fraction()) is not None:
            return total + fraction, None
        again = self.token().text.lower()
        if again in NUMBERS or (again in SCALES and self.unit_word(self.at) is None):
            raise Unreadable(fact("unread.cannot_read_number_in_words"), start)
        return Fraction(total), 0

    def _hyphen(self) -> int:
        return 1 if self.kind() == "-" and self.token().glued else 0

    def _below_hundred(self) -> int:
        total = NUMBERS[self.token().text.lower()]
        self.at += 1
        ones = NUMBERS.get(self.token(self._hyphen()).text.lower(), 0)
        if total >= 20 and 0 < ones < 10:
            self.at += self._hyphen() + 1
            total += ones
        return total

    def _scaled(self, first: int) -> int:
        """What hundred, thousand and million make of a first number, each scale smaller than the one before."""
        total, group, last = 0, first, 10**9
        while True:
            scale = SCALES.get(self.token(self._hyphen()).text.lower())
            if scale is None or self.unit_word(self.at + self._hyphen()) is not None:
                return total + group
            if scale >= last or (scale == 100 and group >= 100):
                return total + group
            self.at += self._hyphen() + 1
            if scale == 100:
                group = group * 100 + self._rest(100)
            else:
                total, last = total + group * scale, scale
                group = self._rest(1000)
                if not group:
                    return total

    def _rest(self, below: int) -> int:
        """What is said behind a scale: “twenty-five”, “and five”; 0 if nothing is."""
        ahead = 1 if self.token().text.lower() == "and" else self._hyphen()
        word = self.token(ahead).text.lower()
        if not NUMBERS.get(word) or self._is_fraction(ahead):
            return 0
        self.at += ahead
        rest = self._below_hundred()
        if below > 100 and self.token().text.lower() == "hundred":
            self.at += 1
            return rest * 100 + self._rest(100)
        return rest

    def _is_fraction(self, ahead: int) -> bool:
        """Whether “one half”, “three quarters” stands there."""
        hyphen = 1 if self.kind(ahead + 1) == "-" else 0
        return self.token(ahead + 1 + hyphen).text.lower() in FRACTIONS

    def _decimals(self, whole: int) -> tuple[Fraction, int]:
        """What is said behind “point”, digit by digit."""
        start = self.token().start
        self.at += 1
        digits = ""
        while (digit := NUMBERS.get(self.token().text.lower())) is not None:
            if digit > 9 or len(digits) == _MOST_DECIMALS:
                raise Unreadable(fact("unread.cannot_read_number_in_words"), start)
            digits += str(digit)
            self.at += 1
        if not digits:
            raise Unreadable(fact("unread.cannot_read_number_in_words"), start)
        return whole + Fraction(int(digits), 10 ** len(digits)), len(digits)

    def _joined_fraction(self) -> Fraction | None:
        """Passes over “and a half” behind a whole number."""
        hyphen = self._hyphen()
        if self.token(hyphen).text.lower() != "and":
            return None
        joined = hyphen + 1
        joined += 1 if self.kind(joined) == "-" else 0
        return self.fraction_words(joined)

    def fraction_words(self, ahead: int) -> Fraction | None:
        """A proper fraction after a whole number, in digits or words, passed over if it is there."""
        if self.kind(ahead) == "n" and self.kind(ahead + 1) == "/" and self.kind(ahead + 2) == "n":
            top, bottom = self.token(ahead).text, self.token(ahead + 2).text
            if not (top.isdigit() and bottom.isdigit() and len(bottom) <= 3 and 0 < int(top) < int(bottom)):
                return None
            if ahead and self.kind() == "-" and not (self.token(ahead + 1).glued and self.token(ahead + 2).glued):
                return None
            self.at += ahead + 3
            return Fraction(int(top), int(bottom))
        if ahead == 0:
            return None
        if self.token(ahead).text.lower() in ("a", "one"):
            ahead += 1 if self.kind(ahead + 1) != "-" else 2
        size = FRACTIONS.get(self.token(ahead).text.lower())
        if size is None:
            return None
        self.at += ahead + 1
        return Fraction(1, size)
