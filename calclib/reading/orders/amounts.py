"""The grammar of amounts in orders: 1 1/2 cups, gr viiss, 5 ft 6 in, 48 units of NPH insulin."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.grammar.numerals import read_numeral
from calclib.reading.grammar.setup_words import SetupWordGrammar
from calclib.reading.grammar.units import MOST_UNIT_WORDS
from calclib.reading.orders.values import Amount, OrderContext
from calclib.reading.plain_text.tokens import Token
from calclib.reading.records import Unit, Unreadable
from calclib.reading.vocabulary import COMPOUND, FRACTIONS, FREQUENCY, NUMBERS, SCALES, ordered_unit
from calclib.wording.facts import fact

_ROMAN = {"i": 1, "v": 5, "x": 10}
_LONGEST_ROMAN = 7
_LONGEST_NAME = 4
_LEADS = frozenset({"over", "for", "every", "in", "at", "about", "after", "is", "of"})
_CHANGES = frozenset(
    "less more not no under below above up at minus than to and or from between gr double triple times dozen".split()
)
_CHANGES |= {*NUMBERS, *FRACTIONS, *SCALES, *FREQUENCY}
"""Words before an amount that are no drug's name: they change it."""

_GOES_ON = frozenset({"or", "and", "to", "per", "in", "over", "each", "every", "a", "an", "for", "daily", "hourly"})
"""Words behind an amount with which it isn't at its end."""

_PARTS = frozenset({*COMPOUND, ("m", "cm"), ("g", "mg")})
_SITES = frozenset({"site", "injection", "muscle"})
_VOLUMES = frozenset({"mL", "L", "tsp", "tbsp", "oz"})
_TIMES = frozenset({"h", "min"})


class OrderGrammar(SetupWordGrammar):
    """Reads amounts with the words of orders, which are clear where the kind of a value is known."""

    __slots__ = ("order",)

    def __init__(self, tokens: list[Token], order: OrderContext) -> None:
        super().__init__(tokens)
        self.order = order

    def word(self, ahead: int = 0) -> str:
        """The word at this place or a few ahead of it, in lower case; "" for a number, a sign, or the end."""
        token = self.token(ahead)
        return token.text.lower() if token.kind == "w" else ""

    def fail(self) -> Unreadable:
        """What to raise where a value doesn't go on as one."""
        return Unreadable(fact("unread.order_has_no_value_here"), self.token().start)

    def ended(self) -> bool:
        """Whether nothing is left but a closing point or comma."""
        while self.kind() in (".", ",", ";"):
            self.at += 1
        return self.kind() == ""

    def pass_words(self, *words: str) -> bool:
        """Pass over some words if they stand here."""
        if any(self.word(ahead) != word for ahead, word in enumerate(words)):
            return False
        self.at += len(words)
        return True

    # Numbers

    def pass_lead(self) -> None:
        """Pass over “over”, “every” and the like before a number."""
        if self.word() in _LEADS and self.number_follows(1):
            self.at += 1

    def pass_name(self) -> None:
        """Pass over a drug's name of a few words before a number."""
        ahead = 0
        while self.kind(ahead) == "w" and ahead < _LONGEST_NAME:
            if self.word(ahead) in _CHANGES:
                return
            ahead += 2 if self.kind(ahead + 1) == "-" and self.kind(ahead + 2) == "w" else 1
        if ahead and self.kind(ahead) == "n" and not self.token(ahead).glued:
            self.at += ahead

    def number_follows(self, ahead: int = 0) -> bool:
        """Whether a number stands here: digits, words, or “a” before a unit."""
        if self.kind(ahead) == "n":
            return True
        article = self.word(ahead) in ("a", "an") and self.kind(ahead + 1) == "w"
        return article or (self.kind(ahead) == "w" and self.begins_number(self.token(ahead)))

    def number(self) -> Fraction:
        """The number that stands here."""
        if self.kind() == "-" and self.kind(1) == "n":
            self.at += 1
            return -self.number()
        if self.kind() == "w" and self.number_follows():
            if self.word() in ("a", "an"):
                self.at += 1
                if not self.begins_number(self.token()):
                    return Fraction(1)
            return self.number_words()[0]
        if self.kind() != "n":
            raise self.fail()
        text = self.token().text
        if "e" in text.lower():  # 1e3 is no number of an order
            raise self.fail()
        value = read_numeral(text, self.token().start, self.notices)[0]
        self.at += 1
        if not text.isdigit():
            return self._scaled_digits(value)
        if self.kind() == "/" and self.token(1).text.isdigit():
            return self._fraction(value)
        joined = 1 if self.kind() == "-" or self.word() == "and" else 0
        if (more := self.fraction_words(joined)) is not None:
            return value + more
        return self._scaled_digits(value)

    def _fraction(self, top: Fraction) -> Fraction:
        below = int(self.token(1).text)
        if below == 0:
            raise Unreadable(fact("unread.order_divides_by_zero", text=f"{top}/0"), self.token().start)
        self.at += 2
        return top / below

    def _scaled_digits(self, value: Fraction) -> Fraction:
        scale = SCALES.get(self.word())
        if scale is None or self.unit_word(self.at) is not None:
            return value
        self.at += 1
        return value * scale

    def grains(self) -> Amount | None:
        """Pass over “gr 5”, “gr xv”, “gr viiss”; None if no grains stand here."""
        ahead = 2 if self.kind(1) == "." else 1
        if self.word() not in ("gr", "grs"):
            return None
        if self.kind(ahead) == "n":
            self.at += ahead
            return Amount(self.number(), "grain")
        letters = self.word(ahead)
        whole = letters.removesuffix("ss")
        if not letters or len(letters) > _LONGEST_ROMAN or not set(whole) <= set(_ROMAN):
            return None
        self.at += ahead + 1
        values = [_ROMAN[letter] for letter in whole]
        total = sum(-one if one < max(values[place:]) else one for place, one in enumerate(values))
        return Amount(total + Fraction(int(letters.endswith("ss")), 2), "grain")

    # Units

    def unit_word(self, place: int) -> tuple[str, int] | None:
        """The unit at token `place` and how many tokens it takes: one that is clear in an order.

        Args:
            place: The token.
        """
        first, second = self.tokens[place], self.tokens[place + 1]
        if first.kind == "n":  # mg in 24 h
            return (
                ("day", 2) if first.text == "24" and second.kind == "w" and ordered_unit(second.text) == "h" else None
            )
        if first.kind != "w":
            return None
        if first.text.lower() in ("m", "cm") and (second.text == "2" or second.kind == "^"):
            return f"{first.text.lower()}2", 2 if second.text == "2" else 3
        for length in (3, 2):
            tokens = self.tokens[place : place + length]
            words = " ".join(token.text for token in tokens).replace(" - ", "-").replace(" .", ".")
            if (symbol := ordered_unit(words)) is not None:
                return symbol, length
        symbol = ordered_unit(first.text)
        if symbol == "degC" and first.text == "c" and "fluid" in self.order.rules:
            symbol = "cup"
        return None if symbol is None else (symbol, 1)

    def unit_text(self, *, of_one: bool = False) -> str:
        """The unit that stands here in the words of units.toml, "" for none.

        Args:
            of_one: A fraction stands before it, so that “half an hour” is no rate.
        """
        unit = self.unit(of_one=of_one)
        if not unit and self.word() == "of" and of_one and self.unit_word(self.at + 1):
            self.at += 1
            unit = self.unit()
        return _written(unit)

    # Amounts

    def amount(self) -> tuple[Amount, ...]:
        """An amount, or two that add up."""
        if grains := self.grains():
            unit = _written(self.unit()) if self.kind() == "/" else ""
            return (Amount(grains.value, f"grain{unit}"),)
        value = self.number_before_unit()
        unit = self.unit_text(of_one=value.denominator > 1 or value == 1)
        if not unit:
            if self.kind() == "w":
                raise Unreadable(fact("unread.order_unit_unknown", text=self.token().text), self.token().start)
            return (Amount(value, self.order.unit if self.order.bare and self.ended() else ""),)
        if (half := self._half_behind()) is not None:
            return (Amount(value + half, unit),)
        if self.word() == "in" and (day := self.unit_word(self.at + 1)) and day[0] == "day":  # mg in 24 h
            self.at += 1 + day[1]
            return (Amount(value, f"{unit}/day"),)
        if (smaller := self._smaller(unit)) is not None:
            return (Amount(value, unit), smaller)
        return (Amount(value, unit),)

    def number_before_unit(self) -> Fraction:
        """The number of “5 mL” and “5-mL”."""
        value = self.number()
        if self.kind() == "-" and self.token().glued and self.unit_word(self.at + 1):
            self.at += 1
        return value

    def _half_behind(self) -> Fraction | None:
        return self.fraction_words(1) if self.word() in ("and", "&") and self.kind(1) == "w" else None

    def _smaller(self, unit: str) -> Amount | None:
        """What follows in a smaller unit: the 6 in of 5 ft 6 in."""
        place = self.at
        if self.kind() in (",", "-") or self.word() == "and":
            self.at += 1
        if self.number_follows() and self.word() not in ("a", "an"):
            value = self.number()
            smaller = self.unit_text()
            if not smaller and unit == "ft" and self.ended():
                smaller = "in"
            if (unit, smaller) in _PARTS:
                return Amount(value, smaller)
        self.at = place
        return None

    def pass_rest(self) -> None:
        """Pass over the drug, the route and the times that stand behind an amount.

        Raises:
            Unreadable: The rest holds another amount, which may change what is meant.
        """
        self.pass_words("in", "divided", "doses") or self.pass_words("in", "equally", "divided", "doses")
        if self.ended():
            return
        volume = not self.order.rules.isdisjoint(("fluid", "mixture"))
        packed = "packed" in self.order.rules
        if packed and self.word() in ("per", "in", "into", "for"):
            site = 2 if self.word(1) in ("a", "an", "one", "each") else 1
            if self.word(site) in _SITES and self.kind(site + 1) == "":
                return
        if packed and self.word() == "of" and self.kind(1) == "w":
            return
        if (self.word() in _GOES_ON and "mixture" not in self.order.rules) or self.kind() not in ("w", "n"):
            raise self.fail()
        while self.kind():
            if self.word() in ("q", "every") and self.kind(1) == "n" and self._is_unit(2, _TIMES):
                self.at += 3
            elif self.word() == "u" and self.kind(1) in ("n", "-"):
                self.at += 3 if self.kind(1) == "-" else 2
            elif self.kind() == "n" and (not volume or self._is_unit(1, _VOLUMES | _TIMES)):
                raise self.fail()
            else:
                self.at += 1

    def _is_unit(self, ahead: int, symbols: frozenset[str]) -> bool:
        ahead += 1 if self.kind(ahead) == "-" else 0
        found = self.unit_word(self.at + ahead) if self.kind(ahead) == "w" else None
        return found is not None and found[0] in symbols


def _written(unit: Unit) -> str:
    if len(unit) > MOST_UNIT_WORDS:
        raise Unreadable(fact("unread.unit_too_long"), 0)
    above = ".".join(word for word, power in unit for _ in range(power))
    return "/".join((above, *(word for word, power in unit for _ in range(-power))))
