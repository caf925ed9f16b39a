"""Brings a typed set-up to numbers and factors that can be compared with the problem."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from calclib.answers.setups.meanings import meanings_of, nearest, units_of
from calclib.answers.setups.problem import SetupProblem
from calclib.answers.setups.terms import Atom, factors_in, numbers_in, value_at
from calclib.chains.kinds.product import Product as ProductStep
from calclib.chains.kinds.root import Root as RootStep
from calclib.chains.kinds.rounding import Round
from calclib.quantity.enclosure import ends
from calclib.reading.grammar.trees import Expression, InUnit, Number, Product, Quotient, Root, Sum


def folded(problem: SetupProblem, tree: Expression) -> Expression:
    """The tree with “1 h + 30 min” or “(1/2) h” as one number where that is a value of the problem."""
    match tree:
        case InUnit(of=Quotient(top=Number(value=top), bottom=Number(value=bottom)) as of, unit=unit) if bottom:
            whole = Number(top / bottom, None, unit, "", of.top.position if isinstance(of.top, Number) else 0)
            return whole if meanings_of(problem, whole.value, None, unit) else tree
        case Sum(terms=terms):
            whole_sum = _folded_sum(problem, tree)
            return whole_sum or Sum(tuple((sign, folded(problem, term)) for sign, term in terms))
        case Product(factors=factors):
            return Product(tuple(folded(problem, factor) for factor in factors))
        case Quotient(top=top_tree, bottom=bottom_tree, sign=sign):
            return Quotient(folded(problem, top_tree), folded(problem, bottom_tree), sign)
        case Root(of=of) | InUnit(of=Root(of=of)):
            return _folded_root(problem, of) or tree
        case InUnit(of=of, unit=unit):
            return InUnit(folded(problem, of), unit)
    return tree


def _folded_root(problem: SetupProblem, under: Expression) -> Number | None:
    """A right root as the value of the step that takes it, rounded where the problem says to go on so."""
    for step in problem.chain.steps:
        if isinstance(step, RootStep) and is_product_of(below_root(problem, step), under):
            rounded = (s.name for s in problem.chain.steps if isinstance(s, Round) and s.of == step.name)
            value = problem.values[next(rounded, step.name)]
            if isinstance(value, str):
                return None
            words = tuple((symbol, power) for symbol, power in step.unit.powers)
            return Number(ends(value)[0], None, words, "", -1)
    return None


def below_root(problem: SetupProblem, step: RootStep) -> SetupProblem:
    """The problem of what stands under a root."""
    chain = problem.chain
    plain = ProductStep(step.name, step.says, step.unit**2, "", step.sources, step.factors)
    chain = replace(chain, steps=tuple(plain if s.name == step.name else s for s in chain.steps), rounded={})
    given = {name: value for name, value in problem.values.items() if name not in chain.by_name}
    solution = replace(problem.solution, chain=chain, values=chain.evaluate(given, rounding={}))
    return replace(problem, solution=solution, asks=step.name, unit=step.unit**2)


def asked_root(problem: SetupProblem) -> RootStep | None:
    """The root that is asked, rounded or not; None where something else is."""
    step = problem.chain.by_name[problem.asks]
    if isinstance(step, Round):
        step = problem.chain.by_name.get(step.of, step)
    return step if isinstance(step, RootStep) else None


def is_product_of(problem: SetupProblem, tree: Expression) -> bool:
    """Whether a product is the right one; each of its numbers is known, and none is missing."""
    atoms = atoms_of(folded(problem, tree))
    return atoms is not None and nearest(problem, atoms).distance < 10


def _folded_sum(problem: SetupProblem, tree: Sum) -> Number | None:
    """1 h + 30 min as 90 min: only where the stem states the whole."""
    last = tree.terms[-1][1]
    if not isinstance(last, Number) or not last.unit:
        return None
    total = Fraction(0)
    for sign, term in tree.terms:
        if not isinstance(term, Number) or not term.unit or sign < 0:
            return None
        have, want = units_of(term.unit), units_of(last.unit)
        factor = problem.factor(have[0], want[0]) if have and want else None
        if factor is None:
            return None
        total += term.value * factor
    meanings = meanings_of(problem, total, None, last.unit)
    stated = any(m.quantity is not None and m.quantity.stated for m in meanings)
    return Number(total, None, last.unit, "", last.position) if stated else None


def atoms_of(tree: Expression) -> tuple[Atom, ...] | None:
    """The factors of a product; None if the whole is a sum."""
    atoms = []
    for node, exponent in factors_in(tree):
        if isinstance(node, Number):
            atoms.append(Atom(node.value, node.decimals, node.unit, exponent, node))
        elif isinstance(node, InUnit):
            atoms.append(Atom(Fraction(1), None, node.unit, exponent, node))
        elif isinstance(node, Sum | Root):
            if node is tree:
                return None
            value = value_at(node, lambda number: number.value)
            first = next(numbers_in(node))
            atoms.append(Atom(value, None, first.unit, exponent, node))
    return tuple(atoms)
