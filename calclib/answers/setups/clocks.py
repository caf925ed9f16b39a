"""Set-ups that hold times of day: a start with what is added to it, or one time taken from another."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.answers.setups.findings import Finding, value_named
from calclib.answers.setups.problem import SetupProblem
from calclib.chains.kinds.clock import Clock
from calclib.reading.grammar.trees import ClockTime, Expression, InUnit, Number, Product, Quotient, Root, Sum
from calclib.reading.writing import shown_clock
from calclib.wording.facts import fact

DAY = 1440
_DIGITS = 4


@dataclass(frozen=True)
class Duration:
    """What is left of a set-up without the time from which it starts.

    Args:
        tree: The duration.
        findings: What is wrong with the start, or with the way it is counted.
        has_start: Whether a start was typed.
    """

    tree: Expression
    findings: tuple[Finding, ...] = ()
    has_start: bool = False


def duration_of(problem: SetupProblem, tree: Expression) -> Duration:
    """Return the duration in a set-up that ends at a time of day; other set-ups with their times in minutes.

    Args:
        problem: What a set-up of the part may use.
        tree: The set-up.
    """
    step = problem.chain.by_name[problem.solution.asks[problem.part]]
    if not isinstance(step, Clock):
        return Duration(_in_minutes(problem, tree))
    unit = tree.unit if isinstance(tree, InUnit) else ()
    whole = tree.of if isinstance(tree, InUnit) else tree
    if not isinstance(whole, Sum):
        return Duration(tree)
    starts = [term for sign, term in whole.terms if sign > 0 and _minutes(term) is not None]
    rest = tuple((sign * step.sign, term) for sign, term in whole.terms if not any(term is one for one in starts))
    if len(starts) != 1 or not rest:
        return Duration(tree)
    findings: list[Finding] = []
    start = problem.values.get(step.start)
    minutes = _minutes(starts[0])
    if isinstance(start, Fraction) and minutes is not None and start % DAY != minutes:
        says, text = problem.says(step.start), problem.text_of(step.start)
        what = fact("setup.not_the_value", typed=shown_clock(minutes, None), phrase=value_named(says, text))
        findings.append(Finding("wrong number", says, what))
    if all(sign < 0 for sign, _ in rest):
        rest = tuple((-sign, term) for sign, term in rest)
        what = fact("setup.time_taken_off" if step.sign > 0 else "setup.time_added")
        findings.append(Finding("inverted", problem.says(problem.asks), what))
    left: Expression = rest[0][1] if len(rest) == 1 and rest[0][0] > 0 else Sum(rest)
    if unit:
        left = (
            Number(left.value, left.decimals, unit, left.text, left.position)
            if isinstance(left, Number)
            else InUnit(left, unit)
        )
    return Duration(left, tuple(findings), has_start=True)


def _minutes(tree: Expression) -> int | None:
    """The minutes after midnight of a time of day; four digits without a unit may be one."""
    if isinstance(tree, ClockTime):
        return tree.minutes
    if isinstance(tree, Number) and not tree.unit and len(tree.text) == _DIGITS and tree.text.isdigit():
        hours, minutes = int(tree.text[:2]), int(tree.text[2:])
        return 60 * hours + minutes if hours < 24 and minutes < 60 else None
    return None


def _in_minutes(problem: SetupProblem, tree: Expression) -> Expression:
    """The tree with each time of day that the problem states as minutes after midnight."""
    match tree:
        case ClockTime(minutes=minutes, position=position):
            return Number(Fraction(minutes), 0, (("min", 1),), tree.text, position)
        case Number():
            typed = _minutes(tree)
            if typed is None or tree.text not in problem.texts.values():
                return tree
            return Number(Fraction(typed), 0, (("min", 1),), tree.text, tree.position)
        case Sum(terms=terms):
            return Sum(tuple((sign, _in_minutes(problem, term)) for sign, term in terms))
        case Product(factors=factors):
            return Product(tuple(_in_minutes(problem, factor) for factor in factors))
        case Quotient(top=top, bottom=bottom, sign=sign):
            return Quotient(_in_minutes(problem, top), _in_minutes(problem, bottom), sign)
        case InUnit(of=of, unit=unit):
            return InUnit(_in_minutes(problem, of), unit)
        case Root(of=of):
            return Root(_in_minutes(problem, of))
    return tree
