"""What a marking policy can cost, in words for students: every rule, those that cost nothing too."""

from __future__ import annotations

from fractions import Fraction

from calclib.answers.marking_policy import MarkingPolicy
from calclib.quantity.writing import write_number

_ZERO, _ONE = Fraction(0), Fraction(1)


def marking_lines(policy: MarkingPolicy) -> tuple[str, ...]:
    """Return the rules of a marking policy, a sentence each."""
    worth = policy.worth
    return (
        (
            f"Unit: a right number without its unit earns {share_text(worth['unit_missing'])}, one with a wrong unit "
            f"{share_text(worth['unit_wrong'])}. A right amount in another unit earns "
            f"{share_text(worth['right_in_another_unit'])}, but {share_text(worth['not_the_unit_asked'])} where the "
            "unit is what is asked, as on a pump or in a conversion."
        ),
        (
            f"Rounding: an answer rounded wrongly earns {share_text(worth['rounded_wrongly'])}, one with more digits "
            f"than the rule asks {share_text(worth['right_before_rounding'])}."
        ),
        _notation(policy),
        _critical(policy),
        (
            f"Several parts: a later part that follows rightly from your own wrong answer earns "
            f"{share_text(worth['carried_forward'])}. A set-up that only comes to the right number earns "
            f"{share_text(worth['unexplained'])}."
        ),
        (
            f"Other wrong answers earn {share_text(worth['wrong'])}"
            f"{_also_with_cause(policy)}, and a blank one {share_text(worth['blank'])}. An answer that can't be read "
            "is looked at by a person."
        ),
    )


def marking_in_short(policy: MarkingPolicy) -> str:
    """Return what can cost points, on one line: what stands below each answer."""
    worth = policy.worth
    told = (
        ("no unit", worth["unit_missing"]),
        ("a wrong unit", worth["unit_wrong"]),
        ("rounded wrongly", worth["rounded_wrongly"]),
        ("more digits than the rule asks", worth["right_before_rounding"]),
    )
    costs = [f"{what}: {share_text(share)}" for what, share in told if share < 1]
    listed, other = policy.joint_commission_costs, policy.other_notice_costs
    unsafe = (("notation on the Joint Commission's list", listed), ("other unsafe notation", other))
    costs += [f"{what}: {_percent(cost)} off" for what, cost in unsafe if cost]
    costs.append(f"{_times(policy)}: {_fails(policy.critical_fails)}")
    return "; ".join(costs)


def share_text(share: Fraction) -> str:
    """Return a share of an answer's points: "no points", "full points", "75% of the points"."""
    if share in (_ZERO, _ONE):
        return f"{'full' if share else 'no'} points"
    return f"{_percent(share)} of the points"


def _notation(policy: MarkingPolicy) -> str:
    listed, other = policy.joint_commission_costs, policy.other_notice_costs
    return (
        f"Notation: an abbreviation or number on the Joint Commission's “Do Not Use” list, such as 5.0 mL, .5 mL or U, "
        f"costs {_cost(listed)}; other unsafe ways of writing, such as mcg with the micro sign, cost {_cost(other)}."
    )


def _critical(policy: MarkingPolicy) -> str:
    return f"Dangerous errors ({_times(policy)}, or going ahead with an unsafe order): {_fails(policy.critical_fails)}."


def _times(policy: MarkingPolicy) -> str:
    return f"{write_number(policy.critical_factor, 2)} times too large or too small, or more"


def _fails(what: str) -> str:
    return {
        "nothing": "marked like any wrong answer",
        "part": "no points for that answer",
        "exam": "fails the whole set, once a person has confirmed it",
    }[what]


def _also_with_cause(policy: MarkingPolicy) -> str:
    known = policy.worth["wrong_with_cause"]
    return "" if known == policy.worth["wrong"] else f" ({share_text(known)} where a known mistake explains it)"


def _cost(share: Fraction) -> str:
    return f"{_percent(share)} of the answer's points" if share else "nothing"


def _percent(share: Fraction) -> str:
    return f"{write_number(100 * share, 1)}%"
