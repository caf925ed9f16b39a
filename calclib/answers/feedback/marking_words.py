"""What a marking policy can cost, for students: every rule, those that cost nothing too."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from calclib.answers.marking_policy import MarkingPolicy
from calclib.quantity.writing import write_number
from calclib.wording.facts import Fact, fact, of_kind


def marking_lines(policy: MarkingPolicy) -> tuple[Fact, ...]:
    """Return the rules of a marking policy, each a sentence."""
    worth = {verdict: _share(share) for verdict, share in policy.worth.items()}
    wrong, known = worth["wrong"], worth["wrong_with_cause"]
    if known != wrong:
        wrong = fact("printed_rule.with_cause", wrong=wrong, known=known)
    return (
        fact(
            "printed_rule.unit",
            missing=worth["unit_missing"],
            wrong=worth["unit_wrong"],
            another=worth["right_in_another_unit"],
            not_asked=worth["not_the_unit_asked"],
        ),
        fact("printed_rule.rounded", wrongly=worth["rounded_wrongly"], finer=worth["right_before_rounding"]),
        fact(
            "printed_rule.notation", listed=_cost(policy.joint_commission_costs), other=_cost(policy.other_notice_costs)
        ),
        fact("printed_rule.dangerous", times=_times(policy), does=_does(policy)),
        fact("printed_rule.parts", carried=worth["carried_forward"], unexplained=worth["unexplained"]),
        fact("printed_rule.others", wrong=wrong, blank=worth["blank"]),
    )


def marking_in_short(policy: MarkingPolicy) -> Iterator[Fact]:
    """Yield what can cost points, each a few words: what stands below each answer."""
    worth = policy.worth
    for what, share in (
        (fact("printed_rule.no_unit"), worth["unit_missing"]),
        (fact("printed_rule.wrong_unit"), worth["unit_wrong"]),
        (fact("printed_rule.rounded_wrongly"), worth["rounded_wrongly"]),
        (fact("printed_rule.more_digits"), worth["right_before_rounding"]),
    ):
        if share < 1:
            yield fact("printed_rule.short", what=what, costs=_share(share))
    for what, cost in (
        (fact("printed_rule.listed_notation"), policy.joint_commission_costs),
        (fact("printed_rule.other_notation"), policy.other_notice_costs),
    ):
        if cost:
            yield fact("printed_rule.short_off", what=what, percent=_percent(cost))
    yield fact("printed_rule.short", what=_times(policy), costs=_fails(policy))


def _share(share: Fraction) -> Fact:
    """A share of an answer's points: "no points", "full points", "75% of the points"."""
    if share in (0, 1):
        return fact("printed_rule.full_points" if share else "printed_rule.no_points")
    return fact("printed_rule.share", percent=_percent(share))


def _times(policy: MarkingPolicy) -> Fact:
    return fact("printed_rule.times_off", factor=write_number(policy.critical_factor, 2))


def _does(policy: MarkingPolicy) -> Fact:
    return of_kind("printed_rule", f"does_{policy.critical_fails}")


def _fails(policy: MarkingPolicy) -> Fact:
    return of_kind("printed_rule", f"fails_{policy.critical_fails}")


def _cost(share: Fraction) -> Fact:
    if not share:
        return fact("printed_rule.costs_nothing")
    return fact("printed_rule.costs_share", percent=_percent(share))


def _percent(share: Fraction) -> str:
    return f"{write_number(100 * share, 1)}%"
