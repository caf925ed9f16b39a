"""A typed set-up as arithmetic on its numbers: the unknown solved for, every number an atom."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from calclib.quantity.enclosure import ends, square_root
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
from calclib.reading.records import Unit as Words
from calclib.wording.facts import Fact, fact


class Unsolvable(Exception):
    """Carries why a set-up can't be brought to one expression; never leaves this folder."""

    def __init__(self, reason: Fact) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True)
class Solved:
    """A set-up brought to one expression.

    Args:
        tree: The expression for what is asked.
        result: The result that was typed behind it, if any.
        unit: The unit typed with the unknown, () if none.
    """

    tree: Expression
    result: Number | None
    unit: Words


def solved(tree: Expression | Equation) -> Solved:
    """Return the expression for what is asked: the unknown of a proportion solved for, results set apart.

    Raises:
        Unsolvable: The unknown stands in more than one place, or nothing is calculated.
    """
    if not isinstance(tree, Equation):
        if unknowns(tree):
            raise Unsolvable(fact("setup.x_without_equals"))
        return Solved(tree, None, ())
    with_x = [side for side in tree.sides if unknowns(side)]
    without = [side for side in tree.sides if not unknowns(side)]
    if not with_x:
        worked: list[Expression] = [side for side in without if not isinstance(side, Number)] or without
        result = without[-1] if isinstance(without[-1], Number) and without[-1] is not worked[0] else None
        return Solved(_run_on(worked), result, ())
    if len(with_x) > 1 or unknowns(with_x[0]) > 1:
        raise Unsolvable(fact("setup.x_twice"))
    if not without:
        raise Unsolvable(fact("setup.nothing_equal"))
    elsewhere: list[Expression] = [side for side in without if not isinstance(side, Number)]
    side = with_x[0]
    if isinstance(side, Unknown):
        other: Expression = (elsewhere or without)[0]
    else:
        place = tree.sides.index(side)
        other = tree.sides[place + 1] if place + 1 < len(tree.sides) else tree.sides[place - 1]
    last = tree.sides[-1]
    result = last if isinstance(last, Number) and last is not other and last is not side else None
    x = next(_unknowns(side))
    return Solved(_isolated(side, other), result, x.unit)


def _run_on(sides: list[Expression]) -> Expression:
    """The whole of what was typed as a running line, 8 x 11.5 = 92 / 100 x 5; else the first side.

    The sides of a running line are not equal: each goes on from the value of the one before.
    """
    tree = sides[0]
    earlier: list[_Earlier] = [(tree, (_plain_value(tree),))]
    for side in sides[1:]:
        whole = _with_earlier(side, earlier)
        if whole is not side:
            tree = whole
        earlier.append((whole, (_plain_value(side), _plain_value(whole))))
    return tree


def _plain_value(tree: Expression) -> Fraction | None:
    try:
        return value_at(tree, lambda number: number.value)
    except ZeroDivisionError:
        return None


_Earlier = tuple[Expression, tuple[Fraction | None, ...]]
"""A side with what it replaced, and its values as typed and exact."""


def _with_earlier(side: Expression, earlier: list[_Earlier]) -> Expression:
    """A side with the results of earlier ones, exact or rounded as typed, replaced by how they were calculated."""
    if isinstance(side, Number):
        return side
    whole: Expression = side
    for one, values in reversed(earlier):
        if isinstance(one, Number):
            continue
        found = (n for n in numbers_in(whole) if any(v is not None and _is_result(n, v) for v in values))
        if (first := next(found, None)) is not None:
            whole = _with(whole, first, one)
    return whole


def _is_result(number: Number, value: Fraction) -> bool:
    if number.value == value:
        return True
    if number.decimals is None or number.value == 0:
        return False
    # Rounded or cut off where it was typed, by a twentieth at the most.
    return abs(number.value - value) * 10**number.decimals < 1 and abs(number.value - value) * 20 <= abs(value)


def _with(tree: Expression, number: Number, by: Expression) -> Expression:
    """A tree with one of its numbers replaced."""
    match tree:
        case Number():
            return by if tree is number else tree
        case Product(factors=factors):
            return Product(tuple(_with(factor, number, by) for factor in factors))
        case Quotient(top=top, bottom=bottom, sign=sign):
            return Quotient(_with(top, number, by), _with(bottom, number, by), sign)
        case Sum(terms=terms):
            return Sum(tuple((sign, _with(term, number, by)) for sign, term in terms))
        case InUnit(of=of, unit=unit):
            return InUnit(_with(of, number, by), unit)
        case Root(of=of):
            return Root(_with(of, number, by))
    return tree


def unknowns(tree: Expression) -> int:
    """How often the unknown stands in a tree."""
    return sum(1 for _ in _unknowns(tree))


def _unknowns(tree: Expression) -> Iterator[Unknown]:
    match tree:
        case Unknown():
            yield tree
        case Product(factors=factors):
            for factor in factors:
                yield from _unknowns(factor)
        case Quotient(top=top, bottom=bottom):
            yield from _unknowns(top)
            yield from _unknowns(bottom)
        case Sum(terms=terms):
            for _, term in terms:
                yield from _unknowns(term)
        case InUnit(of=of) | Root(of=of):
            yield from _unknowns(of)


def _isolated(side: Expression, other: Expression) -> Expression:
    """The other side after all that stands around the unknown has been brought over."""
    match side:
        case Unknown():
            return other
        case Product(factors=factors):
            inner = next(f for f in factors if unknowns(f))
            rest = tuple(f for f in factors if f is not inner)
            return _isolated(inner, Quotient(other, rest[0] if len(rest) == 1 else Product(rest), "/"))
        case Quotient(top=top, bottom=bottom) if unknowns(top):
            return _isolated(top, Product((other, bottom)))
        case Quotient(top=top, bottom=bottom):
            return _isolated(bottom, Quotient(top, other, "/"))
        case Sum(terms=terms):
            sign, inner = next((s, t) for s, t in terms if unknowns(t))
            moved = Sum(((1, other), *((-s, t) for s, t in terms if t is not inner)))
            return _isolated(inner, moved if sign > 0 else Quotient(moved, Number(Fraction(-1), 0, (), "-1", -1), "/"))
        case InUnit(of=of):
            return _isolated(of, other)
        case Root(of=of):
            return _isolated(of, Product((other, other)))
    raise Unsolvable(fact("setup.x_not_found"))


@dataclass(frozen=True)
class Atom:
    """One number of a set-up, or a sum taken as one number.

    Args:
        value: Its value as typed.
        decimals: Digits typed after the point; None for a sum or fraction.
        words: The unit words typed with it.
        exponent: +1 above the line, -1 below it (within its own product).
        node: The node of the tree.
    """

    value: Fraction
    decimals: int | None
    words: Words
    exponent: int
    node: Expression


def factors_in(tree: Expression, exponent: int = 1) -> Iterator[tuple[Expression, int]]:
    """Yield the numbers, sums and units of a product with their exponents."""
    match tree:
        case Product(factors=factors):
            for factor in factors:
                yield from factors_in(factor, exponent)
        case Quotient(top=top, bottom=bottom):
            yield from factors_in(top, exponent)
            yield from factors_in(bottom, -exponent)
        case InUnit(of=of):
            yield tree, exponent
            yield from factors_in(of, exponent)
        case _:
            yield tree, exponent


def numbers_in(tree: Expression) -> Iterator[Number]:
    """Yield every number of a tree."""
    match tree:
        case Number():
            yield tree
        case Product(factors=factors):
            for factor in factors:
                yield from numbers_in(factor)
        case Quotient(top=top, bottom=bottom):
            yield from numbers_in(top)
            yield from numbers_in(bottom)
        case Sum(terms=terms):
            for _, term in terms:
                yield from numbers_in(term)
        case InUnit(of=of) | Root(of=of):
            yield from numbers_in(of)


def _root(value: Fraction) -> Fraction:
    """A square root; of an irrational one the lower end of its enclosure."""
    if value < 0:
        raise Unsolvable(fact("setup.negative_root"))
    return ends(square_root(value))[0]


def value_at(tree: Expression, number: Callable[[Number], Fraction]) -> Fraction:
    """Return the value of a tree where each number has the value that `number` gives it.

    Raises:
        ZeroDivisionError: It divides by zero.
    """
    match tree:
        case Number():
            return number(tree)
        case InUnit(of=of):
            return value_at(of, number)
        case Quotient(top=top, bottom=bottom):
            return value_at(top, number) / value_at(bottom, number)
        case Product(factors=factors):
            result = Fraction(1)
            for factor in factors:
                result *= value_at(factor, number)
            return result
        case Sum(terms=terms):
            return sum((sign * value_at(term, number) for sign, term in terms), Fraction(0))
        case Root(of=of):
            return _root(value_at(of, number))
        case ClockTime(minutes=minutes):
            return Fraction(minutes)
        case Unknown():
            raise Unsolvable(fact("setup.x_here"))
