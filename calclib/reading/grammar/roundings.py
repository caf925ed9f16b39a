"""What says that another number beside the answer is the one before it was rounded: "5 mL (rounded from 4.8)"."""

from __future__ import annotations

from calclib.reading.grammar.expressions import ExpressionGrammar

_SAID = frozenset({"exact", "exactly", "unrounded", "actual", "actually"})
_ROUNDED = frozenset({"rounded", "rounds", "round"})
_WAYS = frozenset({"up", "down", "off"})


def before_rounding(grammar: ExpressionGrammar) -> int:
    """How many tokens say that the number behind them is the exact one: "(rounded up from", "(exact"; 0 if none do."""
    ahead = 1 if grammar.kind() in ("(", ",", ";") else 0
    word = grammar.token(ahead).text.lower()
    if word in _SAID and ahead:
        ahead += 1
    else:
        if word in _ROUNDED:
            ahead += 2 if grammar.token(ahead + 1).text.lower() in _WAYS else 1
        if grammar.token(ahead).text.lower() != "from":
            return 0
        ahead += 1
    return ahead if grammar.kind(ahead) in ("n", ":") else 0


def unrounded(grammar: ExpressionGrammar) -> bool:
    """Passes over "before rounding", "unrounded", "exact" behind a number; whether it stands there."""
    word = grammar.token().text.lower()
    if word == "before" and grammar.token(1).text.lower() == "rounding":
        grammar.at += 2
        return True
    if word in _SAID:
        grammar.at += 1
        return True
    return False
