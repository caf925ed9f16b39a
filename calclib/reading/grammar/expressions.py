"""The grammar of typed quantities and arithmetic. It builds a tree; it evaluates nothing.

    side     = sum (":" sum)?                       (":" only in set-ups)
    sum      = term (("+" | "-") term)*
    term     = operand (("*" | "x" | "/" | "÷" | "per") operand)*
    operand  = "-"? number unit? | "(" sum ")" unit? | ("x" | "?") unit? | root | clock   (root and clock in set-ups)
    unit     = word (("/" | "per") word)*

A slash before a unit word belongs to the unit (``15 gtt/mL`` is one quantity), a slash before a number divides
(``1 h/60 min`` is a quotient of two quantities). A unit behind arithmetic on plain numbers belongs to the whole
(``1000/8 mL/h``).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import gcd

from calclib.reading.context import NO_CONTEXT, Context
from calclib.reading.grammar.compounds import CompoundGrammar
from calclib.reading.grammar.numerals import power_of_ten, read_numeral
from calclib.reading.grammar.trees import (
    ClockTime,
    Equation,
    Expression,
    InUnit,
    Number,
    Product,
    Quotient,
    Root,
    Sum,
    Unknown,
    has_unit,
)
from calclib.reading.plain_text.tokens import Token
from calclib.reading.records import Unit, Unreadable
from calclib.reading.vocabulary import COUNTED, FREQUENCY, SCALES
from calclib.wording.facts import Fact, fact

DEEPEST = 8
MOST_OPERANDS = 16
_COMMON_DENOMINATORS = ("2", "3", "4", "8")
# No dose is a larger mixed number: 21/2 could be 2 1/2, but 62211/2 is a division.
_LARGEST_MIXED = 999
_DIVISION = ("/", "÷", "per")


class ExpressionGrammar(CompoundGrammar):
    """Reads an expression from `at` on; `setup` allows the unknown, ratios and brackets side by side."""

    __slots__ = ("depth", "operands", "places", "setup", "text")

    def __init__(
        self,
        tokens: list[Token],
        text: str,
        *,
        setup: bool = False,
        places: list[int] | None = None,
        context: Context = NO_CONTEXT,
    ) -> None:
        super().__init__(tokens, context)
        self.places = places
        self.text = text
        self.setup = setup
        self.depth = 0
        self.operands = 0

    # Sides, sums and terms

    def equation(self) -> Expression | Equation:
        """Sides joined by "=" or "::"."""
        sides = [self.side()]
        while (self.kind() == "=" and self.kind(1)) or (self.kind() == ":" and self.kind(1) == ":"):
            self.at += 1 if self.kind() == "=" else 2
            sides.append(self.side())
        return sides[0] if len(sides) == 1 else Equation(tuple(sides))

    def side(self) -> Expression:
        """A sum, in set-ups also a ratio of two."""
        top = self.sum()
        if self.setup and self.kind() == ":" and self.kind(1) != ":":
            self.at += 1
            return Quotient(top, self.sum(), ":")
        return top

    def sum(self) -> Expression:
        """Terms with plus and minus; one unit behind plain numbers belongs to the whole."""
        first = self.term()
        if self.kind() not in ("+", "-"):
            return first
        terms = [(1, first)]
        while self.kind() in ("+", "-"):
            sign = 1 if self.kind() == "+" else -1
            self.at += 1
            terms.append((sign, self.term()))
        sign, last = terms[-1]
        if isinstance(last, Number) and last.unit and not any(has_unit(term) for _, term in terms[:-1]):
            return InUnit(Sum((*terms[:-1], (sign, replace(last, unit=())))), last.unit)
        return Sum(tuple(terms))

    def term(self) -> Expression:
        """Operands with times and division signs, from left to right."""
        first = self.operand()
        place = self.token().start
        sign = self._operator()
        if sign is None:
            return first
        chain: list[tuple[str, Expression, int, bool]] = [("*", first, place, False)]
        divided = False
        while sign is not None:
            if sign == "" and divided:
                raise Unreadable(fact("unread.what_is_divided"), place)
            divided = divided or sign in _DIVISION
            bracketed = self.kind() == "("
            chain.append((sign, self.operand(), place, bracketed))
            place = self.token().start
            sign = self._operator()
        return self._joined(chain)

    def _joined(self, chain: list[tuple[str, Expression, int, bool]]) -> Expression:
        """The chain from left to right; a unit that a division ends on, without any before, belongs to the whole."""
        first_with_unit = next((index for index, link in enumerate(chain) if has_unit(link[1])), 0)
        unit: Unit = ()
        if first_with_unit:
            sign, operand, place, bracketed = chain[first_with_unit]
            outside = isinstance(operand, InUnit) or (isinstance(operand, Number) and not bracketed)
            if sign in ("/", "÷") and outside and isinstance(operand, Number | InUnit):
                if first_with_unit < len(chain) - 1:
                    raise Unreadable(fact("unread.cannot_tell_what_unit_belongs"), place)
                unit = operand.unit
                plain = operand.of if isinstance(operand, InUnit) else replace(operand, unit=())
                chain[-1] = (sign, plain, place, bracketed)
        tree = chain[0][1]
        for sign, operand, _, _ in chain[1:]:
            if sign in _DIVISION:
                tree = Quotient(tree, operand, sign)
            elif isinstance(tree, Product):
                tree = Product((*tree.factors, operand))
            else:
                tree = Product((tree, operand))
        return InUnit(tree, unit) if unit else tree

    def is_unknown(self, ahead: int) -> bool:
        """Whether the token is the unknown of a proportion."""
        return self.setup and self.token(ahead).text in ("x", "X", "?")

    def _operator(self) -> str | None:
        """Passes over one operator: "/", "÷", "per", "*" for times; "" is times without a sign, None no operator."""
        kind, text, start, glued = self.token()
        if kind in ("/", "÷", "*"):
            self.at += 1
            return kind
        if kind == "w":
            if text in ("x", "X"):
                following = self.token(1)
                word = following.kind == "w" and self.unit_word(self.at + 1) is None
                if (
                    following.kind in ("n", "(")
                    or (word and self.begins_number(following))
                    or self.is_unknown(1)
                    or self.setup_word(1)
                ):
                    if glued and following.glued and self.tokens[self.at - 1].text == "0":
                        raise Unreadable(fact("unread.cannot_read_0x"), start)
                    self.at += 1
                    return "*"
                return "" if self.setup and not word else None
            if text.lower() == "per" and self.kind(1) == "n":
                self.at += 1
                return "per"
        elif kind == "·":
            if self.tokens[self.at - 1].kind == "n" and self.kind(1) == "n":
                raise Unreadable(fact("unread.dot_could_decimal_point_or_times_sign"), start)
            self.at += 1
            return "*"
        elif kind == "(" and self.setup:
            return ""
        return None

    # Operands

    def operand(self) -> Expression:
        """A number, a sum in brackets or the unknown, with its unit."""
        self.operands += 1
        kind, text, start, _ = self.token()
        if self.operands > MOST_OPERANDS:
            raise Unreadable(fact("unread.too_many_numbers"), start)
        if self.setup and (found := self._only_in_setups(kind)) is not None:
            return found
        if kind == "n":
            number = self._number(1)
            return self._to_power(number) if self.setup and self.kind() == "^" and not number.unit else number
        if kind == "(":
            return self._bracket()
        if kind in ("-", "+"):
            if self.kind(1) != "n" or not self.token(1).glued:
                raise Unreadable(fact("unread.sign_without_number", sign=kind), start)
            self.at += 1
            return self._number(-1 if kind == "-" else 1)
        if self.is_unknown(0):
            self.at += 1
            return Unknown(self.unit(), self._place(start))
        if kind == "w" and (self.stands_for_number(self.at) or text.lower() in FREQUENCY):
            return self._number(1)
        raise Unreadable(_no_number(self.token()), start)

    def _bracket(self) -> Expression:
        start = self.token().start
        self.depth += 1
        if self.depth > DEEPEST:
            raise Unreadable(fact("unread.too_many_brackets"), start)
        self.at += 1
        inner = self.sum()
        if self.kind() != ")":
            raise Unreadable(fact("unread.bracket_not_closed"), start)
        self.at += 1
        self.depth -= 1
        if self.setup and self.kind() == "^":
            inner = self._to_power(inner)
        if has_unit(inner):
            return inner
        unit = self.unit()
        return InUnit(inner, unit) if unit else inner

    def _only_in_setups(self, kind: str) -> Expression | None:
        """A time of day or a square root."""
        if (clock := self.clock_time()) is not None:
            minutes, text, start = clock
            return ClockTime(minutes, text, self._place(start))
        if kind != "w" or not (words := self.root_words()):
            return None
        self.at += words
        if self.kind() != "(":
            raise Unreadable(fact("unread.put_brackets_around_all_that_under_root"), self.token().start)
        inner = self._bracket()
        if isinstance(inner, InUnit) and not has_unit(inner.of):  # sqrt(3.2) m2: the unit stands behind the root
            return InUnit(Root(inner.of), inner.unit)
        unit = () if not has_unit(inner) else self.unit()
        return InUnit(Root(inner), unit) if unit else Root(inner)

    def _to_power(self, inner: Expression) -> Expression:
        """Passes over "^0.5", "^(1/2)", "^2" behind a bracket."""
        if half := self.half_power():
            self.at += half
            return Root(inner)
        if self.token(1).text == "2":
            self.at += 2
            return Product((inner, inner))
        raise Unreadable(fact("unread.only_squares_and_square_roots_can_read"), self.token().start)

    def _number(self, sign: int) -> Number:
        start = self.token().start
        first = self.at
        frequency = FREQUENCY.get(self.token().text.lower())
        if frequency is not None:
            self.at += 1
            unit = (("dose", 1), *self.per_time())
            return Number(Fraction(frequency), 0, unit, self._typed(first), self._place(start))
        if not self.setup and self.kind(1) == ":" and self._is_hours_and_minutes():
            minutes = 60 * int(self.token().text) + int(self.token(2).text)
            self.at += 3
            self.unit()
            return Number(Fraction(sign * minutes), 0, (("min", 1),), self._typed(first), self._place(start))
        value, decimals = self._value()
        if (often := self._times_a_day(decimals)) is not None:
            return Number(value, decimals, often, self._typed(first), self._place(start))
        unit = self.unit(of_one=decimals is None or self.tokens[first - 1].kind == "/")
        if len(unit) == 1 and unit[0][1] == 1:
            value, decimals, unit = self.compound(value, decimals, unit)
            if decimals == 0 and (fraction := self.fraction_behind()) is not None:
                value, decimals = value + fraction, None
        return Number(value if sign > 0 else -value, decimals, unit, self._typed(first), self._place(start))

    def _times_a_day(self, decimals: int | None) -> Unit | None:
        """Passes over the rest of "2x/day", "2x daily", "3x a day"."""
        if self.setup or decimals != 0 or self.token().text not in ("x", "X"):
            return None
        place = self.at
        self.at += 1
        if per := self.per_time():
            return (("dose", 1), *per)
        self.at = place
        return None

    def _is_hours_and_minutes(self) -> bool:
        """Whether "1:30 h" stands here."""
        hours, minutes = self.token().text, self.token(2).text
        found = self.unit_word(self.at + 3)
        if found is None or found[0] != "h" or not (hours.isdigit() and minutes.isdigit()):
            return False
        return len(hours) <= 3 and len(minutes) == 2 and minutes < "60" and self.kind(3 + found[1]) not in ("/", "\\")

    def per_time(self) -> Unit:
        """What stands behind "3 times": a day, daily, /day; () if nothing does."""
        unit: dict[str, int] = {"dose": 1}
        self._more(unit)
        self._rates(unit)
        return tuple((word, power) for word, power in unit.items() if word != "dose" and power)

    def _place(self, start: int) -> int:
        return self.places[start] if self.places else start

    def _typed(self, first: int) -> str:
        return self.text[self.tokens[first].start : self.token().start].strip()

    def _value(self) -> tuple[Fraction, int | None]:
        kind, text, start, _ = self.token()
        if kind == "w":
            return self.number_words()
        value, decimals = read_numeral(text, start, self.notices)
        self.at += 1
        kind, following, place, glued = self.token()
        if kind == "." and glued and self.unit_word(self.at + 1) is not None:
            self.at += 1
            return value, decimals
        if " " in text and ((kind == "/" and self.kind(1) == "n") or self.tokens[self.at - 2].kind == "/"):
            raise Unreadable(fact("unread.blanks_in_number", text=text), start)
        if kind == "" or (kind == "w" and following.lower() not in SCALES and following.lower() != "and"):
            return value, decimals
        if kind == "^" and self.setup and text != "10" and (self.half_power() or self.token(1).text == "2"):
            return value, decimals
        if kind == "^":
            return self._power_of_ten(text, place), None
        if text.isdigit() and self.tokens[self.at - 2].kind != "/":  # 1/2 1/2 isn't 1/(2 1/2)
            ahead = 0 if kind == "n" and not glued else 1 if self._joins_fraction(kind, following, glued) else None
            if ahead is not None and (fraction := self.fraction_words(ahead)) is not None:
                return value + fraction, None
            if kind == "/" and glued and self.token(1).glued and self.token(1).text in _COMMON_DENOMINATORS:
                self._refuse_lost_blank(int(text))
                if self._is_counted_fraction():
                    return self._counted_fraction(value), None
        if kind == "w" and (scale := SCALES.get(following.lower())) and self.unit_word(self.at) is None:
            self.at += 1
            return value * scale, None
        return value, decimals

    def _joins_fraction(self, kind: str, text: str, glued: bool) -> bool:
        """Whether what stands between joins a whole number and a fraction: 2-1/2, 2 and 1/2."""
        if kind == "-":
            return glued and self.token(1).glued
        return text.lower() in ("and", "&")

    def _is_counted_fraction(self) -> bool:
        """Whether a slash and number close a fraction of something counted: 1/2 tab (not 1/60 min)."""
        place = self.at + 2
        while self.tokens[place].text.lower() in ("of", "a", "the"):
            place += 1
        found = self.unit_word(place)
        return found is not None and found[0] in COUNTED

    def _refuse_lost_blank(self, top: int) -> None:
        """21/2 could be 2 1/2 with its blank lost; 222/4 could not be 22 2/4, which nobody leaves unreduced."""
        bottom = int(self.token(1).text)
        whole, part = divmod(top, 10)
        if 0 < whole <= _LARGEST_MIXED and 0 < part < bottom and gcd(part, bottom) == 1:
            two_ways = fact("unread.could_read_two_ways", top=top, bottom=bottom, whole=whole, part=part)
            raise Unreadable(two_ways, self.token().start)

    def _counted_fraction(self, top: Fraction) -> Fraction:
        bottom = int(self.token(1).text)
        self.notices.append("fraction_tablet")
        self.at += 2
        return top / bottom

    def _power_of_ten(self, text: str, place: int) -> Fraction:
        negative = self.kind(1) == "-"
        exponent = self.token(2 if negative else 1)
        if text != "10" or exponent.kind != "n" or not exponent.text.isdigit() or len(exponent.text) > 3:
            raise Unreadable(fact("unread.only_powers_10_can_read"), place)
        self.at += 3 if negative else 2
        return power_of_ten(-int(exponent.text) if negative else int(exponent.text), place)


def _no_number(token: Token) -> Fact:
    if token.kind == "":
        return fact("unread.no_number")
    if token.kind in ("<", ">", "≤", "≥", "±"):
        return fact("unread.type_one_number_without_sign_comparison")
    return fact("unread.cannot_read_number", text=token.text[:20])
