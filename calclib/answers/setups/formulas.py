"""Compares any formula with the chain of an item: at the draw and near it they must agree."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import islice, product

from calclib.answers.setups.meanings import Meaning, meanings_of, units_of
from calclib.answers.setups.problem import NO_UNIT, Point, SetupProblem
from calclib.answers.setups.terms import numbers_in, value_at
from calclib.chains.factors import without_doses
from calclib.quantity.units import Unit
from calclib.reading.grammar.trees import Expression, InUnit, Number, Product, Quotient, Sum

MOST_FORMULAS = 64


def formula_unit(problem: SetupProblem, tree: Expression) -> Unit | None:
    """The unit to which a right formula comes, by comparing it with the chain at the draw and near it; else None."""
    numbers = list(dict.fromkeys(numbers_in(tree)))
    options: list[list[Meaning]] = []
    for number in numbers:
        found = meanings_of(problem, number.value, number.decimals, number.unit)
        if not found:
            return None
        options.append(found)
    for chosen in islice(product(*options), MOST_FORMULAS):
        meaning = dict(zip(numbers, chosen, strict=True))
        full, typed = _unit_of(tree, meaning, typed=False), _unit_of(tree, meaning, typed=True)
        if problem.unit not in (full, typed):
            continue
        for points in (problem.points, problem.points_below):
            if len(points) == 3 and all(_agrees(tree, meaning, points[0][0], p, asked) for p, asked in points):
                return typed or NO_UNIT
            if not _has_bands(problem):
                break
    return None


def _has_bands(problem: SetupProblem) -> bool:
    return any(" above " in name for name in problem.points[0][0]) if problem.points else False


def _agrees(tree: Expression, meaning: Mapping[Number, Meaning], base: Point, point: Point, asked: Fraction) -> bool:
    def number(node: Number) -> Fraction:
        found = meaning[node]
        value = found.value
        for name, exponent in found.names.items():
            if name in point and base[name]:
                value *= (point[name] / base[name]) ** exponent
        return value

    return value_at(tree, number) == asked


def _unit_of(tree: Expression, meaning: Mapping[Number, Meaning], *, typed: bool) -> Unit | None:
    """The unit of a tree, by the units typed or by those that its numbers have; None where a sum is of unlike units."""
    match tree:
        case Number():
            return without_doses(meaning[tree].typed if typed else meaning[tree].unit)
        case InUnit(of=of, unit=words):
            inner = _unit_of(of, meaning, typed=typed)
            outer = next(iter(units_of(words)), NO_UNIT)
            return inner * without_doses(outer) if typed and inner is not None else inner
        case Quotient(top=top, bottom=bottom):
            above, below = _unit_of(top, meaning, typed=typed), _unit_of(bottom, meaning, typed=typed)
            return above / below if above is not None and below is not None else None
        case Product(factors=factors):
            result = NO_UNIT
            for factor in factors:
                unit = _unit_of(factor, meaning, typed=typed)
                if unit is None:
                    return None
                result = result * unit
            return result
        case Sum(terms=terms):
            units = {_unit_of(term, meaning, typed=typed) for _, term in terms}
            return units.pop() if len(units) == 1 else None
    return None
