"""A typed set-up shown back as mathematics, the units that cancel struck out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from calclib.quantity.writing import is_singular, plural, singular
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
from calclib.reading.writing import shown_clock, shown_number

_ESCAPED = re.compile(r"([%#$&_{}])")

_Place = tuple[int, int]
"""A node and the place of a unit word in it."""


def setup_latex(tree: Expression | Equation) -> str:
    """Return a set-up as LaTeX; on each side units that stand above and below the line as often are struck out."""
    sides = tree.sides if isinstance(tree, Equation) else (tree,)
    return " = ".join(_shown(side, _struck(side)) for side in sides)


def _struck(side: Expression) -> frozenset[_Place]:
    """The places of the units that cancel in a product; a sum keeps its units."""
    above: dict[str, list[_Place]] = {}
    below: dict[str, list[_Place]] = {}
    for node, exponent in _factors(side, 1):
        for place, (word, power) in enumerate(node.unit):
            if abs(power) == 1:
                (above if power * exponent > 0 else below).setdefault(word, []).append((id(node), place))
    found: set[_Place] = set()
    for word, places in above.items():
        many = min(len(places), len(below.get(word, ())))
        found.update(places[:many])
        found.update(below.get(word, [])[:many])
    return frozenset(found)


def _factors(tree: Expression, exponent: int) -> Iterator[tuple[Number | Unknown | InUnit, int]]:
    match tree:
        case Number() | Unknown() | InUnit():
            yield tree, exponent
        case Product(factors=factors):
            for factor in factors:
                yield from _factors(factor, exponent)
        case Quotient(top=top, bottom=bottom):
            yield from _factors(top, exponent)
            yield from _factors(bottom, -exponent)


def _shown(tree: Expression, struck: frozenset[_Place]) -> str:
    match tree:
        case Number(value=value):
            above, below = _amount(shown_number(value), tree, struck)
            return rf"\frac{{{above}}}{{{below}}}" if below else above
        case Unknown():
            above, below = _amount("x", tree, struck)
            return rf"\frac{{{above}}}{{{below}}}" if below else above
        case InUnit(of=of):
            above, below = _units(tree, struck, one=False)
            unit = rf"\frac{{{above or 1}}}{{{below}}}" if below else above
            return rf"\left({_shown(of, struck)}\right)\ {unit}"
        case Root(of=of):
            return rf"\sqrt{{{_shown(of, struck)}}}"
        case ClockTime(minutes=minutes):
            return shown_clock(minutes, None)
        case Product():
            return r" \times ".join(_bracketed(factor, struck) for factor in _in_order(tree))
        case Quotient(top=top, bottom=bottom, sign=":"):
            return f"{_shown(top, struck)} : {_shown(bottom, struck)}"
        case Quotient():
            return _quotient(tree, struck)
        case Sum(terms=terms):
            signs = ((" + " if sign > 0 else " - ") + _bracketed(term, struck) for sign, term in terms)
            return "".join(signs).removeprefix(" + ").strip()


def _in_order(tree: Product) -> tuple[Expression, ...]:
    return tree.factors


def _quotient(tree: Quotient, struck: frozenset[_Place]) -> str:
    """“a x b / c” is shown as a times b over c: the last factor of what is divided stands above the divisor."""
    top, bottom = tree.top, tree.bottom
    if isinstance(top, Product):
        before, last = top.factors[:-1], top.factors[-1]
        shown = r" \times ".join(_bracketed(factor, struck) for factor in before)
        return rf"{shown} \times {_fraction(last, bottom, struck)}"
    if isinstance(top, Quotient) and top.sign != ":":
        return rf"{_quotient(top, struck)} \times {_fraction(None, bottom, struck)}"
    return _fraction(top, bottom, struck)


def _fraction(top: Expression | None, bottom: Expression, struck: frozenset[_Place]) -> str:
    below = _shown(bottom, struck)
    if isinstance(bottom, Number):
        below, over = _amount(shown_number(bottom.value), bottom, struck)
        above = _shown(top, struck) if top is not None else "1"
        if over:  # dividing by 250 mg/mL
            return rf"{above} \div \frac{{{below}}}{{{over}}}" if top is not None else rf"\frac{{{over}}}{{{below}}}"
        if isinstance(top, Number):
            above, under = _amount(shown_number(top.value), top, struck)
            below = rf"{below}\cdot {under}" if under else below
        return rf"\frac{{{above}}}{{{below}}}"
    return rf"\frac{{{_shown(top, struck) if top is not None else 1}}}{{{below}}}"


def _bracketed(tree: Expression, struck: frozenset[_Place]) -> str:
    shown = _shown(tree, struck)
    return rf"\left({shown}\right)" if isinstance(tree, Sum) else shown


def _amount(number: str, node: Number | Unknown, struck: frozenset[_Place]) -> tuple[str, str]:
    """What stands above and below the line: 15 gtt and mL."""
    above, below = _units(node, struck, one=is_singular(number))
    number = number.replace(",", "{,}")
    return (rf"{number}\ {above}" if above else number), below


def _units(node: Number | Unknown | InUnit, struck: frozenset[_Place], *, one: bool) -> tuple[str, str]:
    sides: tuple[list[str], list[str]] = ([], [])
    for place, (word, power) in enumerate(node.unit):
        name = _ESCAPED.sub(r"\\\1", singular(word) if one or power < 0 else plural(word))
        shown = r"\text{m}^{2}" if word == "m2" else rf"\text{{{name}}}"
        if abs(power) > 1:
            shown = f"{shown}^{{{abs(power)}}}"
        if (id(node), place) in struck:
            shown = rf"\cancel{{{shown}}}"
        sides[power < 0].append(shown)
    return r"\cdot ".join(sides[0]), r"\cdot ".join(sides[1])
