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
from calclib.wording import Fact, fact, of_kind, said, sentence

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.quantity import RoundingPolicy


@dataclass(frozen=True)
class Rules:
    """What holds for a set.

    Attributes:
        cut_score: Percent of the points that pass.
        attempts: Attempts of each student.
        keep: Which of them counts.
        late_percent: Percent lost for each day begun after the due time.
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
    told = (
        *([fact("printed_rule.working_time", minutes=minutes)] if minutes else []),
        _due(rules, due, zone),
        fact("printed_rule.to_pass", cut=percent_text(rules.cut_score)),
        fact("printed_rule.attempts", attempts=_attempts(rules)),
        fact("printed_rule.rounding", title=rules.rounding.title, says=rules.rounding.says),
        fact("printed_rule.marking", title=rules.marking.title, says=rules.marking.says),
        *marking_lines(rules.marking),
    )
    return tuple(map(sentence, told))


def costs_in_short(rules: Rules) -> str:
    """Return what can cost points on one line."""
    from calclib.answers.feedback.marking_words import marking_in_short

    costs = (*marking_in_short(rules.marking), _late_in_short(rules), _attempts(rules))
    return said("printed_rule.in_short", costs=costs)


def _due(rules: Rules, due: dt.datetime | None, zone: dt.tzinfo) -> Fact:
    if due is None:
        return fact("printed_rule.no_due")
    return fact("printed_rule.due", due=time_in_words(due, zone), late=_late(rules))


def _late_in_short(rules: Rules) -> Fact:
    if not rules.late_percent:
        return fact("printed_rule.short_late_free")
    if rules.late_percent == 100:
        return fact("printed_rule.short_late_no_points")
    return fact("printed_rule.short_late", percent=rules.late_percent)


def _late(rules: Rules) -> Fact:
    if not rules.late_percent:
        return fact("printed_rule.late_accepted")
    if rules.late_percent == 100:
        return fact("printed_rule.late_no_points")
    return fact("printed_rule.late_costs", percent=rules.late_percent)


def _attempts(rules: Rules) -> Fact:
    if rules.attempts == 1:
        return fact("printed_rule.one_attempt")
    if rules.keep != "best":
        return fact("printed_rule.one_counts", count=rules.attempts, keep=of_kind("keep", rules.keep))
    if rules.marking.critical_fails == "exam":
        return fact("printed_rule.best_counts_failed_last", count=rules.attempts)
    return fact("printed_rule.best_counts", count=rules.attempts)
