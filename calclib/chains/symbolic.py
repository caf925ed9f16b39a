"""Steps as sympy expressions over symbols of the givens and equivalences: an independent reading of every step.

Expressions are built from compiled steps, never from text.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import singledispatch
from hashlib import sha256
from typing import Any, TypeAlias

from calclib.chains.chain import NO_EDIT, Chain, Edit
from calclib.chains.factors import Factor, Value
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.between import DAY, DAY_NOT_TURNED, PLAIN_NUMBERS, Between
from calclib.chains.kinds.choose import Choose
from calclib.chains.kinds.clock import DECIMAL_MINUTES_CUT_OFF, Clock
from calclib.chains.kinds.compare import Compare
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import Clause, Decide, compared
from calclib.chains.kinds.decimal_hours import DecimalHours
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup, Row
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.root import RaisedTo, Root
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.kinds.wrong_band import WholeForRest
from calclib.chains.kinds.wrong_time import WrongTime
from calclib.chains.step import Step
from calclib.quantity.enclosure import Enclosure
from calclib.quantity.rounding import RoundingRule

# sympy carries no types.
Expression: TypeAlias = Any


def symbol(name: str) -> Expression:
    """Return the symbol of a given or equivalence; numbers of a problem are positive."""
    from sympy import Symbol

    return Symbol(name, positive=True)


def word(text: str) -> Expression:
    """Return the number that stands for a text, such as a choice: two texts are then known to differ."""
    from sympy import Integer

    return Integer(int.from_bytes(sha256(text.encode()).digest()[:16], "big"))


def nothing() -> Expression:
    """Return the symbol for what a table does not hold; unlike sympy's nan it may stand in a comparison."""
    from sympy import Symbol

    return Symbol("nothing", real=True)


def number(value: Value) -> Expression:
    """Return an exact value as sympy holds it.

    Raises:
        TypeError: The value is an enclosure, which stands for no one number.
    """
    from sympy import Rational

    if isinstance(value, Enclosure):
        raise TypeError("an enclosure stands for no one number")
    return word(value) if isinstance(value, str) else Rational(value.numerator, value.denominator)


def symbolic_value(chain: Chain, step: str, edit: Edit = NO_EDIT) -> Expression:
    """Return a step's value as an expression over the symbols of givens and equivalences.

    Args:
        chain: The chain.
        step: The name of the step.
        edit: A change of the chain, such as a fault.
    """
    return symbolic_values(chain, edit)[step]


def symbolic_values(chain: Chain, edit: Edit = NO_EDIT) -> dict[str, Expression]:
    """Return the values of all steps as expressions; arguments as for `symbolic_value`."""
    known: dict[str, Expression] = {}
    for name in {name for step in chain.steps for name in step.inputs} - set(chain.by_name):
        known[name] = number(edit.values[name]) if name in edit.values else symbol(name)
        if name in edit.scales:
            known[name] = known[name] * number(edit.scales[name])
    if edit.step is not None:
        known.update({name: symbol(name) for name in edit.step.inputs if name not in {*known, *chain.by_name}})
    for step in chain.steps:
        if step.name in edit.values:
            known[step.name] = number(edit.values[step.name])
            continue
        replaced = edit.step if edit.step is not None and edit.step.name == step.name else step
        value = symbolic(replaced, known)
        rule = edit.rounding.get(step.name) or chain.rounded.get(step.name)
        value = value if rule is None else rounded(value, rule)
        known[step.name] = value * number(edit.scales[step.name]) if step.name in edit.scales else value
    return known


@singledispatch
def symbolic(step: Step, known: Mapping[str, Expression]) -> Expression:
    """Return one step's value as an expression.

    Args:
        step: The step.
        known: Expressions of the values that it uses.
    """
    raise NotImplementedError(f"no sympy translation for {type(step).__name__}")


def product(factors: tuple[Factor, ...], known: Mapping[str, Expression]) -> Expression:
    """Return a product as an expression."""
    from sympy import Mul

    return Mul(*((number(f.number) if f.number is not None else known[f.name]) ** f.exponent for f in factors))


@symbolic.register
def _(step: Product, known: Mapping[str, Expression]) -> Expression:
    return product(step.factors, known)


@symbolic.register
def _(step: Sum, known: Mapping[str, Expression]) -> Expression:
    from sympy import Add

    return Add(*(term.sign * product(term.factors, known) for term in step.terms))


@symbolic.register
def _(step: Root, known: Mapping[str, Expression]) -> Expression:
    from sympy import sqrt

    return sqrt(product(step.factors, known))


@symbolic.register
def _(step: RaisedTo, known: Mapping[str, Expression]) -> Expression:
    return known[step.base] ** number(step.exponent)


@symbolic.register
def _(step: Limit, known: Mapping[str, Expression]) -> Expression:
    from sympy import Max, Min

    return (Min if step.take == "least" else Max)(*(product(term, known) for term in step.terms))


@symbolic.register
def _(step: CountUp, known: Mapping[str, Expression]) -> Expression:
    from sympy import ceiling, floor

    return (floor if step.down else ceiling)(product(step.factors, known))


@symbolic.register
def _(step: Round, known: Mapping[str, Expression]) -> Expression:
    return rounded(known[step.of], step.rule)


@symbolic.register
def _(step: Band, known: Mapping[str, Expression]) -> Expression:
    from sympy import Piecewise

    value = known[step.of]
    pieces = []
    total: Expression = number(Fraction(0))
    below = number(Fraction(0))
    for band in step.bands:
        rate = number(band.rate)
        here = total + (value - below) * rate if step.progressive else value * rate
        if band.upto is None:
            pieces.append((here, True))
            continue
        end = number(band.upto)
        pieces.append((here, value <= end))
        total, below = total + (end - below) * rate, end
    return Piecewise(*pieces)


@symbolic.register
def _(step: Lookup, known: Mapping[str, Expression]) -> Expression:
    from sympy import Piecewise

    key = known[step.key]
    pieces = []
    for place, row in enumerate(step.rows):
        read = place + step.shift
        value = number(step.rows[read].value) if 0 <= read < len(step.rows) else nothing()
        pieces.append((value, _picks(row, key)))
    return Piecewise(*pieces, (nothing(), True))


def _picks(row: Row, key: Expression) -> Expression:
    from sympy import And, Eq, true

    if row.equals is not None:
        return Eq(key, word(row.equals))
    start = true if row.start is None else key >= number(row.start)
    if row.end is None:
        return start
    return And(start, key <= number(row.end) if row.closed else key < number(row.end))


@symbolic.register
def _(step: Clock, known: Mapping[str, Expression]) -> Expression:
    minutes = product(step.add, known)
    if step.variant:
        minutes = _decimal_minutes(minutes, step.variant == DECIMAL_MINUTES_CUT_OFF)
    return known[step.start] + step.sign * minutes


@symbolic.register
def _(step: DecimalHours, known: Mapping[str, Expression]) -> Expression:
    return _decimal_minutes(symbolic(step.right, known), step.cut_off)


def _decimal_minutes(minutes: Expression, cut_off: bool) -> Expression:
    from sympy import floor

    hundredths = floor(minutes * 100 / 60 + number(Fraction(0) if cut_off else Fraction(1, 2)))
    return hundredths - floor(hundredths / 100) * 40


@symbolic.register
def _(step: Compare, known: Mapping[str, Expression]) -> Expression:
    from sympy import Piecewise

    value = product(step.value, known)
    pieces = []
    if step.low:
        pieces.append((word(step.choices["below"]), value < product(step.low, known)))
    if step.high:
        pieces.append((word(step.choices["above"]), value > product(step.high, known)))
    return Piecewise(*pieces, (word(step.choices["within"]), True))


@symbolic.register
def _(step: Decide, known: Mapping[str, Expression]) -> Expression:
    from sympy import And, Piecewise

    rows = [(word(one.label), And(*(_clause(c, known) for c in one.clauses))) for one in step.findings[:-1]]
    return Piecewise(*rows, (word(step.findings[-1].label), True))


def _clause(clause: Clause, known: Mapping[str, Expression]) -> Expression:
    from sympy import Eq, Ne

    left, right = product(clause.left, known), product(clause.right, known)
    if clause.relation in ("==", "!="):
        return Eq(left, right) if clause.relation == "==" else Ne(left, right)
    return compared(left, clause.relation, right)


@symbolic.register
def _(step: Choose, known: Mapping[str, Expression]) -> Expression:
    from sympy import Piecewise

    pieces = []
    for place, option in enumerate(step.options):
        taken = place + step.shift
        label = word(step.options[taken].label) if 0 <= taken < len(step.options) else nothing()
        pieces.append((label, True if option.upto is None else known[step.of] <= number(option.upto)))
    return Piecewise(*pieces, (nothing(), True))


@symbolic.register
def _(step: Between, known: Mapping[str, Expression]) -> Expression:
    from sympy import Abs, Mod, Piecewise

    start, end = known[step.start], known[step.end]
    if step.variant == DAY_NOT_TURNED:
        return Abs(Mod(end, DAY) - Mod(start, DAY))
    later = Piecewise((end, end >= start), (end + DAY, True))
    if step.variant == PLAIN_NUMBERS:
        return digits(later) - digits(start)
    return later - start


@symbolic.register
def _(step: WholeForRest, known: Mapping[str, Expression]) -> Expression:
    from calclib.chains.symbolic_mistakes import whole_for_rest

    return whole_for_rest(step, known)


@symbolic.register
def _(step: WrongTime, known: Mapping[str, Expression]) -> Expression:
    from calclib.chains.symbolic_mistakes import wrong_time

    return wrong_time(step, known)


def digits(minutes: Expression) -> Expression:
    """Return minutes written as hours and minutes and read as one number."""
    from sympy import Mod, floor

    return 100 * floor(minutes / 60) + Mod(minutes, 60)


def rounded(value: Expression, rule: RoundingRule) -> Expression:
    """Return an expression rounded by a rule; it must not be negative."""
    from sympy import Piecewise

    pieces = []
    for band in rule.bands:
        here = value if band.step == 0 else number(band.step) * _whole(value / number(band.step), rule)
        pieces.append((here, True if band.below is None else value < number(band.below)))
    return Piecewise(*pieces)


def _whole(steps: Expression, rule: RoundingRule) -> Expression:
    from sympy import Eq, Piecewise, Rational, ceiling, floor

    if rule.mode != "nearest":
        return floor(steps) if rule.mode == "down" else ceiling(steps)
    half = Rational(1, 2)
    nearest = floor(steps + half)
    if rule.tie == "half_up":
        return nearest
    at_half = steps if rule.tie == "half_stays" else 2 * floor(nearest / 2)
    return Piecewise((at_half, Eq(steps - floor(steps), half)), (nearest, True))
