"""The worked solution of a part, step by step, with numbers and units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calclib.chains.chain import Chain
from calclib.chains.factors import EQUIVALENCE, Factor, Names, Value, product_value, without_doses
from calclib.chains.kinds.choice import Choice
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.chains.kinds.rounding import Round
from calclib.chains.kinds.sums import Sum
from calclib.chains.latex import markdown_fact
from calclib.chains.methods import FACTORS, method_lines
from calclib.chains.shown import (
    EQUALS,
    Line,
    Showing,
    Words,
    line_fact,
    result,
)
from calclib.chains.step import Step
from calclib.chains.worked_steps import rounded_line, step_lines
from calclib.quantity.equivalences import bridge, equivalences
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact

_NO_NAMES = Names({})


@dataclass(frozen=True)
class Asked:
    """What a part asks of a chain.

    Args:
        step: The step whose value is asked.
        unit: The unit of the answer; no powers for a time of day or a choice.
        rule: The rounding rule; None for a choice.
        answer: The key as it is printed.
    """

    step: str
    unit: Unit
    rule: RoundingRule | None
    answer: str


def worked_lines(
    chain: Chain,
    values: Mapping[str, Value],
    asked: Asked,
    *,
    known: frozenset[str] = frozenset(),
    method: str = FACTORS,
) -> tuple[Fact, ...]:
    """Return the lines of the worked solution of a part, the rounded answer last.

    Args:
        chain: The chain.
        values: All its values.
        asked: What the part asks.
        known: Steps that earlier parts have shown already.
        method: One of `methods.METHODS`; a step to which it does not apply is shown by factors with units.
    """
    return tuple(line_fact(line) for line in solution_lines(chain, values, asked, known=known, method=method))


def markdown_lines(
    chain: Chain,
    values: Mapping[str, Value],
    asked: Asked,
    *,
    known: frozenset[str] = frozenset(),
    method: str = FACTORS,
) -> tuple[Fact, ...]:
    """Return the same as Markdown with LaTeX, the units that cancel struck out; arguments as above."""
    return tuple(markdown_fact(line) for line in solution_lines(chain, values, asked, known=known, method=method))


def solution_lines(
    chain: Chain,
    values: Mapping[str, Value],
    asked: Asked,
    *,
    known: frozenset[str] = frozenset(),
    method: str = FACTORS,
) -> tuple[Line, ...]:
    """Return the lines of the worked solution, not yet written as text; arguments as for `worked_lines`."""
    steps = solution_steps(chain, values, asked, known=known, method=method)
    return tuple(line for _, lines in steps for line in lines)


def solution_steps(
    chain: Chain,
    values: Mapping[str, Value],
    asked: Asked,
    *,
    known: frozenset[str] = frozenset(),
    method: str = FACTORS,
) -> tuple[tuple[str, tuple[Line, ...]], ...]:
    """Return the lines of the worked solution by the step that they show, the answer under the step that is asked.

    Args:
        chain: The chain.
        values: All its values.
        asked: What the part asks.
        known: Steps that earlier parts have shown already.
        method: One of `methods.METHODS`; a step to which it does not apply is shown by factors with units.
    """
    showing = Showing(chain, values)
    needed = chain.ancestors(asked.step)
    found: list[tuple[str, tuple[Line, ...]]] = []
    seen: list[Line] = []
    for step in chain.steps:
        if step.name not in needed or step.name in known:
            continue
        rule = chain.rounded.get(step.name) or (asked.rule if step.name == asked.step else None)
        by_method = method_lines(step, showing, method, rule) if method != FACTORS else None
        lines: list[Line] = []
        if not is_repeated(step, chain, needed - known) and not adds_nothing(step, chain, values, asked.step):
            lines.extend(line for line in by_method or step_lines(step, showing, rule) if line not in seen)
        if step.name in chain.rounded:
            lines.append(rounded_line(step, chain.rounded[step.name], values[step.name]))
        seen.extend(lines)
        found.append((step.name, tuple(lines)))
    found.append((asked.step, tuple(_answer_lines(chain, values, asked))))
    return tuple(found)


def adds_nothing(step: Step, chain: Chain, values: Mapping[str, Value], asked: str) -> bool:
    """Return whether a step looks up a 0 that is only added or taken off: no board shows it, nor the sum after it."""
    if not isinstance(step, Lookup) or step.name == asked or values[step.name] != 0:
        return False
    users = [one for one in chain.steps if step.name in one.inputs]
    return all(
        isinstance(one, Sum) and all(len(term.factors) == 1 for term in one.terms if _holds(term.factors, step.name))
        for one in users
    )


def _holds(factors: tuple[Factor, ...], name: str) -> bool:
    return any(factor.name == name for factor in factors)


def is_repeated(step: Step, chain: Chain, shown: frozenset[str]) -> bool:
    """Return whether a step only gives another name to the result of a step that is shown."""
    if not isinstance(step, Product) or len(step.factors) != 1:
        return False
    factor = step.factors[0]
    return factor.exponent == 1 and factor.name in chain.by_name and factor.name in shown


def _answer_lines(chain: Chain, values: Mapping[str, Value], asked: Asked) -> list[Line]:
    step, value = chain.by_name[asked.step], values[asked.step]
    lines: list[Line] = []
    if not isinstance(step, (Clock, Choice)):
        lines += _converted(step, values, asked)
    rule = asked.rule
    rounds = rule is not None and not isinstance(step, (Round, CountUp, Lookup)) and any(b.step for b in rule.bands)
    assert rule is None or not isinstance(value, str)
    if rounds and rule is not None:
        how = rule.told("min" if isinstance(step, Clock) else str(asked.unit))
        return [*lines, (Words(fact("worked.rounded_answer", rule=how, answer=asked.answer)),)]
    return [*lines, (Words(fact("worked.answer", answer=asked.answer)),)]


def _converted(step: Step, values: Mapping[str, Value], asked: Asked) -> list[Line]:
    """The line that leads from the unit of the step to that of the answer, if they differ."""
    have, want = without_doses(step.unit), without_doses(asked.unit)
    if have == want:
        return []
    factors = tuple(Factor(EQUIVALENCE + name, exponent) for name, exponent in bridge(have, want) or ())
    taught = {f.name: equivalences()[f.equivalence].value for f in factors}
    showing = Showing(Chain((step,), _NO_NAMES), {**taught, step.name: values[step.name]})
    product = product_value((Factor(step.name, 1), *factors), showing.values)
    maths = showing.product((Factor(step.name, 1), *factors))
    return [
        (
            Words(fact("worked.in_unit", phrase=step.says, unit=str(want))),
            EQUALS,
            maths,
            EQUALS,
            result(product, want, asked.rule),
        )
    ]
