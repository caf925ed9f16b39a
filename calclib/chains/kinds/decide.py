"""Decide: whether there is a reason to hold an order, and what is done, by the first row of a table that holds."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_product
from calclib.chains.factors import Env, Factor, Names, Value, bridged, factors_of, product_value, unit_of
from calclib.chains.kinds.choice import Choice
from calclib.chains.step import StepKind
from calclib.errors.messages import BadInput
from calclib.quantity.amounts import parse_amount
from calclib.wording.facts import fact

ACT, REASON = "act", "reason"
COLUMNS = (ACT, REASON)
ACTS: Mapping[str, str] = {
    "give": "Give it as ordered",
    "assess": "Assess first: get what is missing, then decide",
    "prescriber": "Hold it and call the prescriber",
    "pharmacy": "Hold it and call the pharmacy",
    "discard": "Discard it and prepare another",
}
"""What is done about an order; all of them are offered, so that their number tells nothing."""

RELATIONS = ("<=", ">=", "==", "!=", "<", ">")
MAX_CLAUSES = 4
_CLAUSE = re.compile(r"([^<>=!]+?)\s*(<=|>=|==|!=|<|>)\s*([^<>=!]+)")
_AND = re.compile(r"\s+and\s+")


@dataclass(frozen=True)
class Clause:
    """Two values compared: two products, or two texts.

    Args:
        left: The left side.
        relation: One of `RELATIONS`; texts are the same or not.
        right: The right side.
        words: Whether both sides are texts, each one name.
    """

    left: tuple[Factor, ...]
    relation: str
    right: tuple[Factor, ...]
    words: bool = False

    def holds(self, env: Env) -> bool:
        """Return whether the values are so."""
        if self.words:
            return (env[self.left[0].name] == env[self.right[0].name]) == (self.relation == "==")
        return bool(compared(product_value(self.left, env), self.relation, product_value(self.right, env)))


def compared(left: Any, relation: str, right: Any) -> Any:
    """Return what a relation says of two values, in whatever numbers they are counted."""
    match relation:
        case "<":
            return left < right
        case "<=":
            return left <= right
        case ">":
            return left > right
        case ">=":
            return left >= right
    return (left == right) == (relation == "==")


@dataclass(frozen=True)
class Finding:
    """A reason to hold an order, or the last row, that there is none.

    Args:
        clauses: What must all hold; none for the last row, a sound order.
        label: The act or the reason that follows.
        reason: The reason of the same row.
        missed: What it would mean to answer something else.
    """

    clauses: tuple[Clause, ...]
    label: str
    reason: str = ""
    missed: str = ""

    def holds(self, env: Env) -> bool:
        """Return whether all its clauses hold."""
        return all(clause.holds(env) for clause in self.clauses)


@dataclass(frozen=True)
class Decide(Choice):
    """The act or the reason of the first finding that holds; the last finding, a sound order, always does.

    Args:
        column: act or reason.
        findings: The findings.
    """

    column: str
    findings: tuple[Finding, ...]

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of all that is compared."""
        sides = (side for one in self.findings for c in one.clauses for side in (c.left, c.right))
        return tuple(dict.fromkeys(factor.name for side in sides for factor in side if factor.number is None))

    @property
    def labels(self) -> tuple[str, ...]:
        """All acts there are, or the reasons of the table, as they are offered."""
        return tuple(ACTS.values()) if self.column == ACT else tuple(dict.fromkeys(f.label for f in self.findings))

    @property
    def proceed(self) -> str:
        """What follows where the order is sound."""
        return self.findings[-1].label

    def found(self, env: Env) -> Finding:
        """Return the first finding that holds."""
        return next(finding for finding in self.findings if finding.holds(env))

    def held(self, env: Env) -> int:
        """Return how many reasons there are to hold the order: with two, two answers could be defended."""
        return sum(finding.holds(env) for finding in self.findings[:-1])

    def always(self, label: str) -> Decide:
        """Return the step of somebody who answers with a label whatever is printed."""
        return replace(self, findings=(Finding((), label),))

    def evaluate(self, env: Env) -> Value:
        """Return the label of the finding."""
        return self.found(env).label


def sides(condition: str) -> Iterator[tuple[str, str, str]]:
    """Yield left side, relation and right side of each clause of a condition such as “pulse < 60 and drug == held”.

    Raises:
        BadInput: It is no such condition.
    """
    clauses = _AND.split(condition)
    for clause in clauses:
        match = _CLAUSE.fullmatch(clause.strip())
        if match is None or len(clauses) > MAX_CLAUSES:
            raise BadInput(fact("errors_chains.no_comparison", condition=condition))
        yield match[1], match[2], match[3]


def names_in(condition: str) -> Iterator[str]:
    """Yield the sides of a condition that name values."""
    for left, _, right in sides(condition):
        yield left
        if not right[0].isdigit():
            yield right


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Decide:
    """Return the step that `table` (rows) and `column` describe.

    Raises:
        BadInput: The column is unknown, an act is none of `ACTS`, a condition can't be read, or its units do not fit.
    """
    step, column, rows = common["name"], fields["column"], fields["rows"]
    if column not in COLUMNS:
        raise BadInput(fact("errors_chains.column_of_decision", step=step, known=tuple(COLUMNS), found=column))
    if len(rows) < 2 or "that" in rows[-1] or not all("that" in row for row in rows[:-1]):
        raise BadInput(fact("errors_chains.row_without_that", step=step))
    findings = []
    for row in rows:
        label = row.get(column)
        if column == ACT:
            label = ACTS.get(label)
        if not isinstance(label, str) or not label or not row.get("reason"):
            raise BadInput(fact("errors_chains.row_without_reason", step=step, known=tuple(ACTS)))
        clauses = tuple(_clause(clause, names, step) for clause in sides(row["that"])) if "that" in row else ()
        findings.append(Finding(clauses, label, row["reason"], row.get("missed", "")))
    return Decide(**common, column=column, findings=tuple(findings))


def _clause(clause: tuple[str, str, str], names: Names, step: str) -> Clause:
    left_text, relation, right_text = clause
    left = factors_of(parse_product(left_text), names)
    if right_text[0].isdigit():
        value, unit = parse_amount(right_text)
        return Clause(bridged(left, names, unit, step, per_dose=True), relation, (Factor("", 1, Fraction(value)),))
    right = factors_of(parse_product(right_text), names)
    wanted = unit_of(left, names)
    words = _is_word(left, names) and _is_word(right, names)
    if words and relation not in ("==", "!="):
        what = f"{left_text} {relation} {right_text}"
        raise BadInput(fact("errors_chains.texts_compared", step=step, condition=what))
    return Clause(left, relation, right if words else bridged(right, names, wanted, step, per_dose=True), words)


def _is_word(side: tuple[Factor, ...], names: Names) -> bool:
    return len(side) == 1 and side[0].exponent == 1 and side[0].name in names.texts


KIND = StepKind(compiled, frozenset({"table", "column"}), frozenset({"rows"}))
