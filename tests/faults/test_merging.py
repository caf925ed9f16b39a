"""Faults that are held to be the same are so by algebra, and those kept apart differ."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest

from calclib.chains.chain import Chain
from calclib.chains.fingerprint import fingerprints
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import RaisedTo, Root
from calclib.chains.kinds.sums import Sum
from calclib.chains.symbolic import Expression, symbol, symbolic_values
from calclib.faults.enumeration import StatedNumber, static_faults
from calclib.faults.fault import KINDS, Fault
from calclib.items import Item, Solution, solution_of
from calclib.quantity.equivalences import equivalences
from tests.items.drawn import A_FIFTH, MODELS, drawn_items, model


@cache
def forms(name: str) -> tuple[Solution, ...]:
    """One solution for each way in which the drawn items of a model are stated."""
    found: dict[tuple[str, ...], Solution] = {}
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        found.setdefault(solution.chain.equivalences + tuple(sorted(solution.values)), solution)
    return tuple(found.values())


def faults_of(solution: Solution) -> tuple[Fault, ...]:
    """All mistakes that do not depend on the draw."""
    return static_faults(solution.chain, _numbers(solution))


def _numbers(solution: Solution) -> list[StatedNumber]:
    says = solution.chain.names.says
    stated = (n for n in solution.values if n not in solution.chain.by_name and not n.startswith("eq:"))
    constants = set(model(solution.item.model_id).constants) | {"percent_strength"}
    used = {n for step in solution.chain.steps for n in step.inputs}
    return [StatedNumber(n, n.partition(".")[0], says.get(n, n)) for n in stated if n in used - constants]


def fixed_values(solution: Solution) -> dict[str, Fraction]:
    """What is the same in every draw: conversions by definition and the model's constants."""
    taught = equivalences()
    known = {f"eq:{n}": taught[n].value for n in solution.chain.equivalences if taught[n].definition}
    return known | {name: value for name, (value, _) in model(solution.item.model_id).constants.items()}


@cache
def canonical(expression: Expression) -> Expression:
    """A form in which equal rational functions are equal; roundings, tables and the like stand for themselves in it."""
    import sympy

    bends = (sympy.floor, sympy.ceiling, sympy.Piecewise, sympy.Max, sympy.Min, sympy.Abs)
    for bend in sorted(expression.atoms(*bends), key=sympy.count_ops, reverse=True):
        inside = bend.args if isinstance(bend, sympy.Piecewise) else [canonical(part) for part in bend.args]
        name = f"{type(bend).__name__}{sorted(map(str, inside)) if not isinstance(bend, sympy.Piecewise) else inside}"
        expression = expression.xreplace({bend: symbol(name)})
    return expression if expression.is_Atom else sympy.cancel(sympy.together(expression))


def looks_up_a_result(chain: Chain, asked: str) -> bool:
    """Whether a row is picked by a result on the way: sympy does not see that ten times both sides is one relation."""
    lookups = (step for step in chain.steps if isinstance(step, Lookup) and step.key in chain.by_name)
    return any(chain.depends(asked, step.name) for step in lookups)


@pytest.mark.parametrize("name", A_FIFTH)
def test_fingerprints_are_equal_where_sympy_finds_the_same(name: str) -> None:
    """Two faults with one fingerprint for a number asked are the same to sympy, and by algebra alone also the reverse.

    Where a rounding or a table happens to change nothing, fingerprints may differ: the values of a draw tell.
    """
    for solution in forms(name)[:2]:
        constants = {n: v for n, (v, _) in model(name).constants.items()}
        fixed = fixed_values(solution)
        numbers = [
            asked
            for asked in solution.asks.values()
            if not isinstance(solution.values[asked], str) and not looks_up_a_result(solution.chain, asked)
        ]
        for asked in dict.fromkeys(numbers):
            by_mark: dict[int, Expression] = {}
            by_form: dict[Expression, int] = {}
            for fault in faults_of(solution):
                mark = fingerprints(solution.chain, constants, fault.edit)[asked]
                edit = replace(fault.edit, values={**fixed, **fault.edit.values})
                form = canonical(symbolic_values(solution.chain, edit)[asked])
                assert by_mark.setdefault(mark, form) == form, (asked, fault.says)
                if not _bends(solution):
                    assert by_form.setdefault(form, mark) == mark, (asked, fault.says)


def _bends(solution: Solution) -> bool:
    """Whether a chain has a step that is no product, sum or power, so that a fault in it may change nothing."""
    return not all(isinstance(step, (Product, Sum, Root, RaisedTo)) for step in solution.chain.steps)


@pytest.mark.parametrize("name", MODELS)
def test_accepted_items_tell_their_mistakes_apart(name: str) -> None:
    """In an item that is used, mistakes that lead to another answer than the key lead to different answers."""
    for item in drawn_items(name):
        assert item.fair and item.diagnosable and not item.why
        for part in item.parts:
            written = [f.written if f.choice is None else f.choice for f in part.faults]
            assert len(set(written)) == len(written)
            for fault in part.faults:
                right = part.accepted_choice if fault.choice is not None else part.key
                assert fault.hard == (not _same_time(part.kind, fault.written, right)) or fault.choice is not None


def _same_time(kind: str, one: object, other: object) -> bool:
    if kind == "clock":
        return one % 1440 == other % 1440  # type: ignore[operator]
    return one == other


_CLAUSE = re.compile(r"[a-z0-9].* (?:was|were|divided|multiplied|slipped|went|is|are) .*[^.]")
_AWKWARD = re.compile(
    r"\bthe (?:for|how|what|when|who|the|a|an|one(?!-)|each|[0-9])\b|\b(\w+) \1\b|[_{}]|\.\.|\bstated\b|times too"
    r"|wrong way round|\banew\b"
)


@pytest.mark.parametrize("name", MODELS)
def test_faults_are_worded(name: str) -> None:
    """Every fault has a known kind, names a step or a given that exists, and says what was done in a plain clause."""
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        for fault in (f for part in item.parts for f in part.faults):
            assert fault.fault in KINDS and set(fault.also) <= set(KINDS)
            assert fault.step == "" or fault.step in solution.chain.by_name
            assert fault.step or fault.given
            assert _CLAUSE.fullmatch(fault.says), fault.says
            assert not _AWKWARD.search(fault.says), fault.says


def faults_by_kind(item: Item, part: str) -> dict[str, str]:
    """For each kind of fault the number that it leads to, as text."""
    return {f"{f.fault} {f.given}".strip(): str(f.written) for f in item.part(part).faults}
