"""Fingerprints that tell whether two chains come to the same whatever is drawn.

A chain is evaluated in the whole numbers modulo a large prime, each given at a number that a hash of its name decides.
Products, sums and powers are what they are; a rounding, a table and the like is a hash of its arguments. So chains that
are the same by algebra have the same fingerprint, and others differ but for a chance of 1 in 10 to the 38th.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import singledispatch

from calclib.chains.chain import NO_EDIT, Chain, Edit
from calclib.chains.factors import EQUIVALENCE, Factor, Value
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import Decide
from calclib.chains.kinds.decimal_hours import DecimalHours
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import RaisedTo, Root
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.step import Step
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import RoundingRule

PRIME = 2**127 - 1
# A power that squared gives the number or its negative: like a root, that of a product is the product of the roots.
ROOT = (PRIME + 1) // 4


def fingerprints(
    chain: Chain, constants: Mapping[str, Fraction], edit: Edit = NO_EDIT, *, rounding: bool = True
) -> dict[str, int]:
    """Return a number for each step that is the same for two chains only if they always come to the same.

    Args:
        chain: The chain.
        constants: Values that are the same in every draw; conversions by definition need not be given.
        edit: A change of the chain, such as a fault.
        rounding: Whether roundings on the way count; else chains are the same that differ by them alone.
    """
    return Fingerprints(chain, constants, rounding=rounding).of(edit)


class Fingerprints:
    """The numbers of a chain's steps, and those after an edit, for which only what it changes is worked out again.

    Args:
        chain: The chain.
        constants: As for `fingerprints`.
        rounding: As for `fingerprints`.
    """

    def __init__(self, chain: Chain, constants: Mapping[str, Fraction], *, rounding: bool = True) -> None:
        self.chain, self.rounding = chain, rounding
        self._right = _Known(constants)
        self._run(self._right, chain.steps, NO_EDIT)

    def of(self, edit: Edit = NO_EDIT) -> dict[str, int]:
        """Return the number of each step after an edit."""
        known = self._right.again()
        known.update({name: _number(value) for name, value in edit.values.items()})
        for name, scale in edit.scales.items():
            if name not in self.chain.by_name:
                known[name] = known[name] * _number(scale) % PRIME
        self._run(known, self.chain.steps_from(edit.touches), edit)
        return {step.name: known[step.name] for step in self.chain.steps}

    def rounds(self, edit: Edit) -> bool:
        """Return whether anything is rounded after an edit; if not, roundings make no difference."""
        if self.chain.rounded or edit.rounding or isinstance(edit.step, Round):
            return True
        return any(isinstance(step, Round) for step in self.chain.steps)

    def _run(self, known: _Known, steps: Iterable[Step], edit: Edit) -> None:
        for step in steps:
            if step.name in edit.values:
                continue
            replaced = edit.step if edit.step is not None and edit.step.name == step.name else step
            if isinstance(replaced, Round):
                mark = known[replaced.of]
                mark = known.rounded(mark, replaced.rule) if self.rounding else mark
            else:
                mark = fingerprint(replaced, known)
            rule = edit.rounding.get(step.name) or self.chain.rounded.get(step.name)
            mark = mark if rule is None or not self.rounding else known.rounded(mark, rule)
            known[step.name] = mark * _number(edit.scales.get(step.name, Fraction(1))) % PRIME


class _Known(dict[str, int]):
    """Numbers by name; one that is not a constant is decided by its name."""

    def __init__(self, constants: Mapping[str, Fraction]) -> None:
        super().__init__({name: _number(value) for name, value in constants.items()})
        self._rounded: set[tuple[int, object]] = set()

    def again(self) -> _Known:
        """The same numbers, to be changed."""
        found = _Known({})
        found.update(self)
        found._rounded.update(self._rounded)
        return found

    def rounded(self, mark: int, rule: RoundingRule) -> int:
        """The number of a rounded value; what a rule has rounded already it leaves as it is."""
        does = (rule.bands, rule.mode, rule.tie)
        if (mark, does) not in self._rounded:
            mark = _oracle("round", does, mark)
            self._rounded.add((mark, does))
        return mark

    def __missing__(self, name: str) -> int:
        taught = equivalences().get(name.removeprefix(EQUIVALENCE)) if name.startswith(EQUIVALENCE) else None
        self[name] = _number(taught.value) if taught is not None and taught.definition else _oracle("name", name)
        return self[name]


def _number(value: Value) -> int:
    if not isinstance(value, Fraction):
        return _oracle("value", value)
    return value.numerator * pow(value.denominator, -1, PRIME) % PRIME


def _oracle(kind: str, *arguments: object) -> int:
    """A number that looks drawn at random for every kind and arguments, and is always the same for them."""
    text = repr((kind, arguments)).encode()
    return int.from_bytes(hashlib.sha256(text).digest()[:16], "big") % PRIME


def _product(factors: tuple[Factor, ...], known: Mapping[str, int]) -> int:
    result = 1
    for factor in factors:
        value = _number(factor.number) if factor.number is not None else known[factor.name]
        result = result * pow(value, factor.exponent, PRIME) % PRIME
    return result


@singledispatch
def fingerprint(step: Step, known: Mapping[str, int]) -> int:
    """Return one step's number; a kind of step that is no product or sum is a hash of what it does with its inputs."""
    own = {key: value for key, value in vars(step).items() if key not in ("says", "sources", "quantity")}
    return _oracle(type(step).__name__, own, *(known[name] for name in step.inputs))


@fingerprint.register
def _(step: Product, known: Mapping[str, int]) -> int:
    return _product(step.factors, known)


@fingerprint.register
def _(step: Sum, known: Mapping[str, int]) -> int:
    return sum(term.sign * _product(term.factors, known) for term in step.terms) % PRIME


@fingerprint.register
def _(step: Root, known: Mapping[str, int]) -> int:
    return pow(_product(step.factors, known), ROOT, PRIME)


@fingerprint.register
def _(step: RaisedTo, known: Mapping[str, int]) -> int:
    return pow(known[step.base], _oracle("power", step.exponent), PRIME)


@fingerprint.register
def _(step: CountUp, known: Mapping[str, int]) -> int:
    return _oracle("down" if step.down else "up", _product(step.factors, known))


@fingerprint.register
def _(step: Limit, known: Mapping[str, int]) -> int:
    values = sorted({_product(term, known) for term in step.terms})
    return values[0] if len(values) == 1 else _oracle(step.take, *values)


@fingerprint.register
def _(step: Clock, known: Mapping[str, int]) -> int:
    minutes = _product(step.add, known)
    minutes = _oracle(step.variant, minutes) if step.variant else minutes
    return (known[step.start] + step.sign * minutes) % PRIME


@fingerprint.register
def _(step: DecimalHours, known: Mapping[str, int]) -> int:
    return _oracle(f"decimal minutes {step.cut_off}", fingerprint(step.right, known))


@fingerprint.register
def _(step: Compare, known: Mapping[str, int]) -> int:
    sides = [_product(side, known) if side else 0 for side in (step.value, step.low, step.high)]
    return _oracle("compare", tuple(step.choices.items()), _ratio(sides[1], sides[0]), _ratio(sides[2], sides[0]))


@fingerprint.register
def _(step: Decide, known: Mapping[str, int]) -> int:
    rows = (
        (one.label, tuple((c.relation, _product(c.left, known), _product(c.right, known)) for c in one.clauses))
        for one in step.findings
    )
    return _oracle(f"decide {step.column}", *rows)


def _ratio(limit: int, value: int) -> int:
    """A limit against the value: ten times both leads to the same choice."""
    return limit * pow(value, -1, PRIME) % PRIME
