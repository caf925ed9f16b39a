"""The grammar of typed units: mL/h, mg per kg per day, gtts/min, mL·h^-1."""

from __future__ import annotations

from calclib.reading.context import NO_CONTEXT, Context
from calclib.reading.notation import rule_of_word
from calclib.reading.plain_text.tokens import Token
from calclib.reading.records import Unit, Unreadable
from calclib.reading.vocabulary import PER, PHRASE_STARTS, PHRASES, RATES, unclear_unit, unit_symbol
from calclib.wording.facts import fact

_NO_NOTICE = frozenset({"%", "degC", "degF"})
_ABBREVIATION = 5
_ARTICLES = ("of", "a", "an", "the")
MOST_UNIT_WORDS = 8


class UnitGrammar:
    """A place in a list of tokens, with what was noticed on the way."""

    __slots__ = ("at", "context", "notices", "tokens")

    def __init__(self, tokens: list[Token], context: Context = NO_CONTEXT) -> None:
        self.tokens = tokens
        self.context = context
        self.at = 0
        self.notices: list[str] = []

    def token(self, ahead: int = 0) -> Token:
        """The token at this place or a few ahead of it."""
        return self.tokens[self.at + ahead]

    def kind(self, ahead: int = 0) -> str:
        """The kind of that token."""
        return self.tokens[self.at + ahead][0]

    def unit_word(self, place: int) -> tuple[str, int] | None:
        """The unit symbol at token `place` and how many tokens it takes; raises Unreadable if the word is unclear."""
        kind, text, start, _ = self.tokens[place]
        if kind != "w":
            return None
        following = self.tokens[place + 1]
        if text.lower() in PHRASE_STARTS:
            period = 1 if following.kind == "." and following.glued else 0  # fl. oz
            phrase = PHRASES.get((text.lower(), self.tokens[place + 1 + period].text.lower()))
            if phrase is not None:
                return phrase, 2 + period
        symbol = unit_symbol(text)
        if symbol == "degC" and text == "C" and self.context.meaning(text) == "cup":
            symbol = "cup"
        if symbol in ("cm", "m") and following.glued and following.text == "2":
            return f"{symbol}2", 2
        if symbol is not None:
            if following.kind == "(" and following.glued and self.tokens[place + 2].text == "s":  # tablet(s)
                return symbol, 4 if self.tokens[place + 3].kind == ")" else 1
            return symbol, 1
        if text in ("m", "M") and following.glued and following.text == "2":
            return "m2", 2
        if text in ("m", "M") and following.kind == "^" and self.tokens[place + 2].text == "2":
            return "m2", 3
        if text == "°" and following.kind == "w" and following.text in ("C", "F"):
            return f"deg{following.text}", 2
        if meanings := unclear_unit(text):
            if (meant := self.context.meaning(text)) is not None:
                return meant, 1
            raise Unreadable(fact("unread.unit_could_mean", text=text, meanings=meanings), start)
        return None

    def _take(self, found: tuple[str, int], unit: dict[str, int], sign: int, *, inverse: bool = False) -> None:
        symbol, count = found
        if symbol == "cm2":
            symbol, sign = "cm", 2 * sign
        word = self.token().text
        for typed in (word, self.token(1).text)[:count]:
            if (rule := rule_of_word(typed)) and symbol not in ("m2", "cm"):  # the sq of "sq m" is no route
                self.notices.append(rule)
        self.at += count
        power = 1
        if self.kind() == "^":
            power = self._power()
        elif inverse and self._ends_in_minus_one(self.at):
            power = -1
            self.at += 2
        if self.kind() == "." and self.token().glued and len(word) <= _ABBREVIATION and not self.token(1).glued:
            self.notices.append("unit_period")
            self.at += 1
        for name, place in zip(symbol.split("/"), (1, -1), strict=False):  # moles per liter is one word, M
            unit[name] = unit.get(name, 0) + place * sign * power
        if len(unit) > MOST_UNIT_WORDS:
            raise Unreadable(fact("unread.unit_too_long"), self.token().start)

    def _power(self) -> int:
        negative = self.kind(1) == "-"
        digit = self.token(2 if negative else 1)
        if digit.kind != "n" or digit.text not in ("1", "2", "3"):
            raise Unreadable(fact("unread.cannot_read_power_unit"), self.token().start)
        self.at += 3 if negative else 2
        return -int(digit.text) if negative else int(digit.text)

    def unit(self, *, of_one: bool = False) -> Unit:
        """The unit typed at this place, () if none; behind a fraction (`of_one`), "an hour" is no rate."""
        kind, text, _, glued = self.token()
        if kind == "(":
            return self._unit_in_brackets()
        word = text.lower()
        unit: dict[str, int] = {}
        percent = (word, self.token(1).text.lower()) in PHRASES
        if kind in ("/", "\\") or (word in PER and not percent and not (of_one and word in _ARTICLES)):
            self._more(unit)
            rate = self._rates(unit)
            if rate and kind == "w" and glued:
                self.notices.insert(0, "run_together")
            return rate
        if kind != "w":
            return ()
        if word in RATES:
            if glued:
                self.notices.append("run_together")
            return self._rates(unit)
        if word in _ARTICLES:
            ahead = 2 if self.token(1).text.lower() in _ARTICLES else 1
            if self.unit_word(self.at + ahead) is None:
                return ()
            self.at += ahead
            glued = False
        if (found := self.unit_word(self.at)) is None:
            return ()
        if glued and found[0] not in _NO_NOTICE:
            self.notices.append("run_together")
        self._take(found, unit, 1)
        self._more(unit)
        return self._rates(unit)

    def _unit_in_brackets(self) -> Unit:
        if (found := self.unit_word(self.at + 1)) is None:
            return ()
        self.at += 1
        unit: dict[str, int] = {}
        self._take(found, unit, 1)
        self._more(unit)
        if self.kind() != ")":
            raise Unreadable(fact("unread.bracket_not_closed_here"), self.token().start)
        self.at += 1
        return self._rates(unit)

    def _more(self, unit: dict[str, int]) -> None:
        divided = False
        while True:
            kind, text, start, _ = self.token()
            if kind in ("/", "\\") or (kind == "w" and text.lower() in PER):
                if kind != "w" and self.kind(1) == "(":
                    if not self._divisors(unit):
                        return
                elif self.token(1).text == "m" and tuple(unit) == ("gtt",) and self.token(2).text != "2":
                    self.at += 2  # drops for each m: there are no drops for each meter
                    unit["min"] = -1
                elif (found := self.unit_word(self.at + 1)) is not None:
                    self.at += 1
                    self._take(found, unit, -1)
                else:
                    return
                divided = True
            elif kind == "w" and (found := self._inverse()) is not None:
                self._take(found, unit, 1, inverse=True)
            elif kind in ("*", "·", "-") and (found := self.unit_word(self.at + 1)) is not None:
                if divided and not self._is_inverse(found):
                    raise Unreadable(fact("unread.what_unit_is_divided"), start)
                inverse = self._is_inverse(found)
                self.at += 1
                self._take(found, unit, 1, inverse=inverse)
            elif kind == "w" and text.lower() in ("dose", "doses"):
                self.at += 1
                unit["dose"] = unit.get("dose", 0) - 1
            else:
                return

    def _is_inverse(self, found: tuple[str, int], ahead: int = 1) -> bool:
        ahead += found[1]
        to_power = self.kind(ahead) == "^" and self.kind(ahead + 1) == "-"
        return to_power or self._ends_in_minus_one(self.at + ahead)

    def _ends_in_minus_one(self, place: int) -> bool:
        """Whether "-1" stands right behind the letters of a unit: kg-1."""
        sign, one = self.tokens[place], self.tokens[place + 1]
        return sign.kind == "-" and sign.glued and one.text == "1" and one.glued and self.tokens[place - 1].kind == "w"

    def _inverse(self) -> tuple[str, int] | None:
        """A unit to the power of minus one behind a blank: mcg kg-1 min^-1."""
        word = self.token().text.lower()
        following = self.kind(1)
        if following not in ("-", "^") or word in PER:
            return None
        found = self.unit_word(self.at)
        return found if found is not None and self._is_inverse(found, 0) else None

    def _divisors(self, unit: dict[str, int]) -> bool:
        """Units in brackets behind a slash: mg/(kg·h)."""
        found = self.unit_word(self.at + 2)
        if found is None:
            return False
        self.at += 2
        self._take(found, unit, -1)
        while self.kind() in ("*", "·", "-") and (found := self.unit_word(self.at + 1)) is not None:
            self.at += 1
            self._take(found, unit, -1)
        if self.kind() != ")":
            raise Unreadable(fact("unread.bracket_not_closed_here"), self.token().start)
        self.at += 1
        return True

    def rated(self, unit: Unit) -> Unit:
        """The unit with the rates in one word that stand here."""
        return self._rates(dict(unit))

    def _rates(self, unit: dict[str, int]) -> Unit:
        """Rates in one word behind the unit: hourly, daily, each."""
        while self.kind() == "w" and (symbol := RATES.get(self.token().text.lower())) is not None:
            if rule := rule_of_word(self.token().text):
                self.notices.append(rule)
            unit[symbol] = unit.get(symbol, 0) - 1
            self.at += 1
        if 0 in unit.values():
            raise Unreadable(fact("unread.unit_cancels_out"), self.token().start)
        return tuple(unit.items())
