"""The rules of a set that can cost marks, as they are printed on it, on its preview and below each answer."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from calclib.class_files.blueprint import Blueprint
from calclib.class_files.set_rules import SetRules, recorded_rules
from calclib.quantity.writing import percent_text
from calclib.records.sealed import SealedSet
from calclib.records.set_times import time_in_words

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.quantity import RoundingPolicy


@dataclass(frozen=True)
class Rules:
    """What holds for a set.

    Attributes:
        cut_score: Per cent of the points that pass.
        attempts: Attempts of each student.
        keep: Which of them counts.
        late_percent: Per cent lost for each day begun after the due time.
        of_set: Working time and appeals.
        rounding: The rounding policy.
        marking: The marking policy.
    """

    cut_score: Fraction
    attempts: int
    keep: str
    late_percent: int
    of_set: SetRules
    rounding: RoundingPolicy
    marking: MarkingPolicy


def rules_of_order(order: Blueprint, rounding: RoundingPolicy, marking: MarkingPolicy) -> Rules:
    """Return the rules of a set as it is ordered."""
    late = order.late.percent_a_day
    return Rules(order.cut_score, order.attempts, order.keep, late, order.rules, rounding, marking)


def rules_of_set(sealed: SealedSet, rounding: RoundingPolicy, marking: MarkingPolicy) -> Rules:
    """Return the rules of a set that was handed out."""
    of_set = recorded_rules(sealed.blueprint)
    return Rules(sealed.cut_score, sealed.attempts, sealed.keep, sealed.late_percent, of_set, rounding, marking)


def rule_lines(rules: Rules, due: dt.datetime | None, zone: dt.tzinfo) -> tuple[str, ...]:
    """Return the rules, a sentence each.

    Args:
        rules: What holds for the set.
        due: By when the notebook on which they are printed is due.
        zone: The zone in which the set tells its times.
    """
    from calclib.answers.feedback.marking_words import marking_lines

    minutes = rules.of_set.minutes
    return (
        *([f"Working time: {minutes} minutes, unless another time was agreed with you."] if minutes else []),
        f"Due: {time_in_words(due, zone)}. {_late(rules)}" if due else "Due: no due time, so it can't be late.",
        f"To pass: {percent_text(rules.cut_score)} of the points.",
        f"Attempts: {_attempts(rules)}.",
        (f"Rounding policy “{rules.rounding.title}”: {rules.rounding.says} Each question prints its own rule."),
        f"Marking policy “{rules.marking.title}”: {rules.marking.says}",
        *marking_lines(rules.marking),
    )


def costs_in_short(rules: Rules) -> str:
    """Return what can cost points on one line."""
    from calclib.answers.feedback.marking_words import marking_in_short

    late = f"late: {rules.late_percent}% off for each day begun" if rules.late_percent else "late: nothing off"
    late = "late: no points" if rules.late_percent == 100 else late
    return f"{marking_in_short(rules.marking)}; {late}; {_attempts(rules)}"


def _late(rules: Rules) -> str:
    if not rules.late_percent:
        return "A later hand-in is accepted, and nothing is taken off."
    if rules.late_percent == 100:
        return "A later hand-in gets no points."
    return f"A later hand-in loses {rules.late_percent}% of its score for each day begun."


def _attempts(rules: Rules) -> str:
    if rules.attempts == 1:
        return "one attempt"
    if rules.keep != "best":
        return f"up to {rules.attempts} attempts, of which the {rules.keep} one counts"
    fails = rules.marking.critical_fails == "exam"
    last = " (one that an error fails comes last)" if fails else ""
    return f"up to {rules.attempts} attempts, of which the best counts{last}"
