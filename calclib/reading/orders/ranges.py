"""Ranges in orders: 20-40 mg/kg/day, 500 mg to 1 g, between 1 1/2 and 4 h."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from calclib.reading.orders.amounts import OrderGrammar
from calclib.reading.orders.values import OrderContext
from calclib.reading.plain_text.characters import plain_text
from calclib.reading.plain_text.tokens import Token, cut_tokens
from calclib.reading.records import Unreadable


def read_range(text: str) -> tuple[RangeEnd, RangeEnd] | None:
    """Return both ends of a range; None for anything else.

    A lower end without a unit, or with the beginning of the other's, takes the other's: “2 mg-4 mg/kg” is from 2 mg/kg.

    Args:
        text: A text of some dozens of characters at the most.
    """
    plain = plain_text(text)[0]
    try:
        return _RangeGrammar(cut_tokens(plain), OrderContext(), plain).ends()
    except Unreadable:
        return None


class RangeEnd(NamedTuple):
    """One end of a range: its number, and number and unit as they were typed."""

    value: Fraction
    number: str
    unit: str


class _RangeGrammar(OrderGrammar):
    __slots__ = ("text",)

    def __init__(self, tokens: list[Token], order: OrderContext, text: str) -> None:
        super().__init__(tokens, order)
        self.text = text

    def ends(self) -> tuple[RangeEnd, RangeEnd] | None:
        between = self.pass_words("between")
        if not between:
            self.pass_words("from")
        low = self._end()
        if not (self.pass_words("and") if between else self.pass_words("to") or self._pass_dash()):
            return None
        high = self._end()
        if not high.unit or not self.ended():
            return None
        return (low._replace(unit=high.unit) if high.unit.startswith(low.unit) else low), high

    def _pass_dash(self) -> bool:
        dash = self.kind() == "-"
        self.at += dash
        return dash

    def _end(self) -> RangeEnd:
        start = self.at
        value = self.number()
        unit = self.at
        self.unit_text()
        return RangeEnd(value, self._typed(start, unit), self._typed(unit, self.at))

    def _typed(self, first: int, after: int) -> str:
        return self.text[self.tokens[first].start : self.tokens[after].start].strip()
