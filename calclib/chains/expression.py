"""The small grammar in which an item model writes its steps: names, numbers, + - * / and brackets."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.wording.facts import fact

MAX_LENGTH = 400
MAX_DEPTH = 12

_TOKEN = re.compile(
    r"\s*(?:(?P<number>\d{1,12}(?:\.\d{1,12})?)|(?P<name>[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?)|(?P<op>[-+*/()]))",
    re.ASCII,
)


@dataclass(frozen=True)
class Power:
    """A named value or a bare number, raised to a whole exponent."""

    name: str
    exponent: int
    number: Fraction | None = None


@dataclass(frozen=True)
class Term:
    """A signed product of powers."""

    sign: int
    powers: tuple[Power, ...]


def parse_sum(text: str) -> tuple[Term, ...]:
    """Return the signed products of an expression such as "volume - infused" or "dose * weight / strength".

    Raises:
        BadInput: The text does not follow the grammar, or multiplies sums.
    """
    if len(text) > MAX_LENGTH:
        raise BadInput(fact("errors_chains.expression_too_long", most=MAX_LENGTH))
    parser = _Parser(_tokens(text), text)
    terms = parser.sum(0)
    if parser.here is not None:
        raise BadInput(fact("errors_chains.not_expected", token=parser.here, text=text))
    return tuple(terms)


def parse_product(text: str) -> tuple[Power, ...]:
    """Return the powers of a single product.

    Raises:
        BadInput: The text does not follow the grammar, or holds a sum.
    """
    terms = parse_sum(text)
    if len(terms) != 1 or terms[0].sign != 1:
        raise BadInput(fact("errors_chains.not_a_product", text=text))
    return terms[0].powers


def _tokens(text: str) -> list[str]:
    result, place = [], 0
    text = text.rstrip()
    while place < len(text):
        match = _TOKEN.match(text, place)
        if match is None:
            raise BadInput(fact("errors_chains.not_readable", part=text[place:].strip()[:20], text=text))
        result.append(match[0].strip())
        place = match.end()
    return result


class _Parser:
    def __init__(self, tokens: list[str], text: str) -> None:
        self.tokens = tokens
        self.text = text
        self.place = 0

    @property
    def here(self) -> str | None:
        return self.tokens[self.place] if self.place < len(self.tokens) else None

    def take(self) -> str:
        token = self.here
        if token is None:
            raise BadInput(fact("errors_chains.ends_early", text=self.text))
        self.place += 1
        return token

    def sum(self, depth: int) -> list[Term]:
        if depth > MAX_DEPTH:
            raise BadInput(fact("errors_chains.too_many_brackets", text=self.text))
        sign = 1
        if self.here == "-":
            self.take()
            sign = -1
        terms = [_signed(t, sign) for t in self.product(depth)]
        while self.here in ("+", "-"):
            sign = 1 if self.take() == "+" else -1
            terms.extend(_signed(t, sign) for t in self.product(depth))
        return terms

    def product(self, depth: int) -> list[Term]:
        terms = self.atom(depth)
        while self.here in ("*", "/"):
            operator = self.take()
            terms = _combine(terms, self.atom(depth), operator, self.text)
        return terms

    def atom(self, depth: int) -> list[Term]:
        token = self.take()
        if token == "(":
            terms = self.sum(depth + 1)
            if self.here != ")":
                raise BadInput(fact("errors_chains.bracket_not_closed", text=self.text))
            self.take()
            return terms
        if token in ")+-*/":
            raise BadInput(fact("errors_chains.not_expected", token=token, text=self.text))
        if token[0].isdigit():
            return [Term(1, (Power("", 1, Fraction(token)),))]
        return [Term(1, (Power(token, 1),))]


def _signed(term: Term, sign: int) -> Term:
    return Term(term.sign * sign, term.powers)


def _combine(left: list[Term], right: list[Term], operator: str, text: str) -> list[Term]:
    if len(left) > 1 or len(right) > 1:
        raise BadInput(fact("errors_chains.product_of_sum", text=text))
    turn = 1 if operator == "*" else -1
    turned = tuple(Power(p.name, p.exponent * turn, p.number) for p in right[0].powers)
    return [Term(left[0].sign * right[0].sign, (*left[0].powers, *turned))]
