"""Short answers that are no number with a unit: how often a dose is given, and a percent as a ratio."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.grammar.expressions import ExpressionGrammar
from calclib.reading.grammar.numerals import read_numeral
from calclib.reading.notation import rule_of_word
from calclib.reading.records import Unit
from calclib.reading.vocabulary import BEFORE, DOSES_A_DAY, NUMBERS

_A_DAY: Unit = (("dose", 1), ("day", -1))
_ENDS = frozenset({"", ".", "!", "?"})
_HOURS_A_DAY = 24
_EVERY = ("q", "every")

Whole = tuple[Fraction, int | None, Unit]


def whole_answer(grammar: ExpressionGrammar) -> Whole | None:
    """What "BID", "q12h", "every 8 hours" or, where a percent is asked, "1:1,000" says alone; None for other texts."""
    kind, word, _, _ = grammar.tokens[0]
    if kind == "n":
        return _percent_of_ratio(grammar) if grammar.context.percent and grammar.kind(1) == ":" else None
    place = 0
    while grammar.tokens[place].kind == "w" and grammar.tokens[place].text.lower() in BEFORE:
        place += 1
    if grammar.tokens[place].text.lower() == "once" and grammar.tokens[place + 1].text.lower() in _EVERY:
        place += 1  # once every 8 hours
    word = grammar.tokens[place].text.lower()
    if word in DOSES_A_DAY and grammar.tokens[place + 1].kind in _ENDS:
        return _said(grammar, Fraction(DOSES_A_DAY[word]), place, place + 1)
    if word not in _EVERY:
        return None
    every = grammar.tokens[place + 1]
    hours = NUMBERS.get(every.text.lower()) or (int(every.text) if every.kind == "n" and every.text.isdigit() else 0)
    found = grammar.unit_word(place + 2) if hours else None
    if found is None or found[0] != "h" or hours > _HOURS_A_DAY or _HOURS_A_DAY % hours:
        return None  # every 5 hours is no whole number of doses a day
    return _said(grammar, Fraction(_HOURS_A_DAY // hours), place, place + 2 + found[1])


def _said(grammar: ExpressionGrammar, doses: Fraction, place: int, after: int) -> Whole | None:
    if any(token.kind not in _ENDS for token in grammar.tokens[after:]):
        return None
    if rule := rule_of_word(grammar.tokens[place].text):
        grammar.notices.append(rule)
    return doses, 0, _A_DAY


def _percent_of_ratio(grammar: ExpressionGrammar) -> Whole | None:
    """1:1,000 as 1 g in 1,000 mL, which is 0.1 g in 100 mL: 0.1%."""
    one, _, many, *rest = grammar.tokens
    if many.kind != "n" or any(token.kind not in _ENDS for token in rest):
        return None
    top, _ = read_numeral(one.text, one.start, grammar.notices)
    bottom, _ = read_numeral(many.text, many.start, grammar.notices)
    return (100 * top / bottom, None, (("%", 1),)) if bottom else None
