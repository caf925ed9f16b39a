"""Reads a typed set-up into a tree: factors with units, ratio and proportion, formula with numbers.

How a slash is read: before a unit word it belongs to the unit, so ``15 gtt/mL`` is one quantity; before a number it
divides, so ``1 h/60 min`` is a quotient of two quantities. Division and multiplication go from left to right. Where
brackets are needed to tell what is divided, the set-up is unread.
"""

from __future__ import annotations

from dataclasses import dataclass

from calclib.reading.context import NO_CONTEXT, Context
from calclib.reading.grammar.expressions import ExpressionGrammar
from calclib.reading.grammar.labels import pass_label
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
)
from calclib.reading.plain_text.characters import plain_text
from calclib.reading.plain_text.markup import without_markup
from calclib.reading.plain_text.tokens import cut_tokens
from calclib.reading.records import Notice, Unread, Unreadable
from calclib.reading.setup_lines import lines_of
from calclib.reading.writing import shown_clock, shown_quantity, shown_unit
from calclib.wording.facts import fact

LONGEST_SETUP = 300
_BRACKETS = str.maketrans("[]{}", "()()")


@dataclass(frozen=True)
class SetupReading:
    """One typed set-up, read.

    Attributes:
        text: As typed.
        tree: The set-up; an Equation if a result or a proportion was typed.
        notices: Unsafe notation found.
        shown: How it was read, in safe notation with every bracket that matters.
    """

    text: str
    tree: Expression | Equation
    notices: tuple[Notice, ...]
    shown: str


def read_setup(text: str, context: Context = NO_CONTEXT) -> SetupReading | Unread:
    """The one reading of a typed set-up, or why there is none. No text raises."""
    if len(text) > LONGEST_SETUP:
        return Unread(text, fact("unread.set_up_too_long"), LONGEST_SETUP)
    plain, places = plain_text(text)
    noticed: list[str] = []
    start = 0
    try:
        plain, places = without_markup(plain, places)
        plain = plain.translate(_BRACKETS)
        lines = lines_of(plain)
        trees = []
        for start, line in lines:
            shifted = places
            if start:
                shifted = [places[start + place] if places else start + place for place in range(len(line) + 1)]
            grammar = ExpressionGrammar(cut_tokens(line), line, setup=True, places=shifted, context=context)
            trees.append(_whole(grammar, alone=len(lines) == 1))
            noticed += grammar.notices
            _at_end(grammar)
    except Unreadable as stop:
        place = start + stop.position
        return Unread(text, stop.why, min(places[place] if places else place, len(text)))
    tree = _joined(trees)
    notices = tuple(Notice(rule) for rule in dict.fromkeys(noticed))
    return SetupReading(text, tree, notices, shown_tree(tree))


def _at_end(grammar: ExpressionGrammar) -> None:
    while grammar.kind() in (".", ",", "="):
        grammar.at += 1
    kind, left, start, _ = grammar.token()
    if kind:
        raise Unreadable(fact("unread.cannot_read_in_setup", text=left[:20]), start)


def _whole(grammar: ExpressionGrammar, *, alone: bool) -> Expression | Equation:
    """A line behind its label, if any; a unit before the only line's equals sign is what is looked for: mL/h = ..."""
    wanted = () if grammar.is_unknown(0) else pass_label(grammar)
    while grammar.kind() == "=":
        grammar.at += 1
    tree = grammar.equation()
    if not wanted or not alone:
        return tree
    return Equation((Unknown(wanted, 0), *_sides(tree)))


def _sides(tree: Expression | Equation) -> tuple[Expression, ...]:
    return tree.sides if isinstance(tree, Equation) else (tree,)


def _joined(trees: list[Expression | Equation]) -> Expression | Equation:
    """One running line of all lines; of a proportion that is worked out below, the proportion and its result."""
    if len(trees) == 1:
        return trees[0]
    proportion = next((tree for tree in trees if any(_holds_unknown(side) for side in _sides(tree))), None)
    last = _sides(trees[-1])[-1]
    if proportion is not None:
        result = (last,) if isinstance(last, Number) and proportion is not trees[-1] else ()
        return Equation((*_sides(proportion), *result)) if isinstance(proportion, Equation) else proportion
    return Equation(tuple(side for tree in trees for side in _sides(tree)))


def _holds_unknown(tree: Expression) -> bool:
    match tree:
        case Unknown():
            return True
        case Product(factors=factors):
            return any(_holds_unknown(factor) for factor in factors)
        case Quotient(top=top, bottom=bottom):
            return _holds_unknown(top) or _holds_unknown(bottom)
        case Sum(terms=terms):
            return any(_holds_unknown(term) for _, term in terms)
        case InUnit(of=of) | Root(of=of):
            return _holds_unknown(of)
        case _:
            return False


def shown_tree(tree: Expression | Equation) -> str:
    """The tree in one line of safe notation."""
    match tree:
        case Equation(sides=sides):
            return " = ".join(shown_tree(side) for side in sides)
        case Number(value=value, unit=unit):
            return shown_quantity(value, unit)
        case Unknown(unit=unit):
            return f"x {shown_unit(unit)}" if unit else "x"
        case InUnit(of=of, unit=unit):
            return f"({shown_tree(of)}) {shown_unit(unit)}"
        case Root(of=of):
            return f"√({shown_tree(of)})"
        case ClockTime(minutes=minutes):
            return shown_clock(minutes, None)
        case Product(factors=factors):
            return " × ".join(_bracketed(factor, Sum) for factor in factors)
        case Quotient(top=top, bottom=bottom, sign=":"):
            return f"{shown_tree(top)} : {shown_tree(bottom)}"
        case Quotient(top=top, bottom=bottom):
            return f"{_bracketed(top, Sum)} ÷ {_bracketed(bottom, Sum, Product, Quotient)}"
        case Sum(terms=terms):
            first, *rest = terms
            return shown_tree(first[1]) + "".join(
                f" {'+' if sign > 0 else '-'} {_bracketed(term, Sum)}" for sign, term in rest
            )


def _bracketed(tree: Expression, *kinds: type) -> str:
    shown = shown_tree(tree)
    return f"({shown})" if isinstance(tree, kinds) else shown
