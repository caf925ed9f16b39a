"""What may be said of a mistake for certain, and what is only asked: decided by hand, problem by problem."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.diagnosis.causes import causes_of
from calclib.answers.diagnosis.certainty import significant
from calclib.items import draw_item
from calclib.items.recorded.fault_result import FaultResult
from calclib.models import bank

# 850 mL over 7 h with 15 gtt/mL: 30 gtt/min.
DROPS = ("drop-rate", {"volume": "850 mL", "time": "7 h", "drop_factor": "15 gtt/mL"}, "drops")
# 1.5 mg/kg for 62 lb: 42.3 mg, from 28.18 kg.
AMOUNT = ("weight-dose-volume", {"weight": "62 lb", "dose": "1.5 mg/kg"}, "amount")
# 4-2-1 rule for 68 lb, 30.9 kg: 71 mL/h.
CHILD = ("maintenance-fluid-rate", {"weight": "68 lb"}, "rate")
# 1.9 g of 250 mg/mL, at most 2 mL each: 4 injections.
SITES = ("divided-injection", {"order": "1.9 g", "strength": "250 mg/mL", "most": "2 mL"}, "injections")


@pytest.mark.parametrize(
    ("problem", "typed", "cause", "certain"),
    [
        # 850 x 15 / 7 = 1,821: the hours were not made minutes; nothing else comes to four such figures.
        (DROPS, "1,821 gtt/min", "used unconverted", True),
        # Ten times 30.36, three figures.
        (DROPS, "304 gtt/min", "decimal slip", True),
        # A tenth of it, of which one figure is left.
        (DROPS, "3 gtt/min", "decimal slip", False),
        # With the 20 gtt/mL of another tubing: 40.5, of which 40 is left, and many things come to 40.
        (DROPS, "40 gtt/min", "wrong value", False),
        # 17/126 with 7 h in the numerator: a value turned upside down is seldom more than a guess.
        (DROPS, "0.135 gtt/min", "inverted", False),
        # 420 / 850 x 15 = 7.41: a division can be set up the wrong way around in several places.
        (DROPS, "7.41 gtt/min", "divided the wrong way", False),
        # The 60 used the wrong way around: a rare form of the mistake.
        (DROPS, "109,286 gtt/min", "conversion inverted", False),
        # 62 x 1.5 = 93, two figures that are all of it.
        (AMOUNT, "93 mg", "used unconverted", True),
        # 62 x 2.2 x 1.5 = 204.6.
        (AMOUNT, "204.6 mg", "conversion inverted", True),
        # 4.227 with the point slipped, two figures that are not all of it.
        (AMOUNT, "4.2 mg", "decimal slip", False),
        # 1 mg/kg taken: a value left out is common, and says little of which.
        (AMOUNT, "28.2 mg", "left out", False),
        # 1 mL/kg/h for the whole weight: 30.9, of which 31 is left.
        (CHILD, "31 mL/h", "one rate for all", False),
        # 4 mL/kg/h for the whole weight, 123.6; a figure misread comes to 124 too.
        (CHILD, "124 mL/h", "first rate only", False),
        # Ten times 4 has one figure, and could be anything.
        (SITES, "40", "decimal slip", False),
    ],
)
def test_a_mistake_is_said_for_certain_or_asked_as_decided(
    problem: tuple[str, Mapping[str, str], str], typed: str, cause: str, certain: bool
) -> None:
    """The likeliest mistake behind a number, and whether the number is long, common and alone enough to say so."""
    model, given, part = problem
    item = draw_item(bank()[model], "certain", given=given)
    verdict = next(v for v in judge_item(item, {part: typed}, marking_policy("homework")) if v.part == part)

    assert (verdict.verdict, verdict.causes[0].fault, verdict.causes[0].certain) == ("wrong_with_cause", cause, certain)
    assert not certain or len(verdict.causes) == 1


def test_of_two_mistakes_that_lead_to_one_number_neither_is_certain() -> None:
    """One of them alone is said for certain; beside the other it is a question."""
    part = draw_item(bank()["drop-rate"], "certain", given=DROPS[1]).part("drops")
    one, other = (
        FaultResult(kind, "drops", "", "something was done", Fraction(1234), Fraction(1234), None, True)
        for kind in ("used unconverted", "wrong sign")
    )

    alone = causes_of(part._replace(faults=(one,)), Fraction(1234), 0)
    both = causes_of(part._replace(faults=(one, other)), Fraction(1234), 0)
    assert [(cause.fault, cause.certain) for cause in alone] == [("used unconverted", True)]
    assert [(cause.fault, cause.certain) for cause in both] == [("used unconverted", False), ("wrong sign", False)]


def test_what_may_be_rounded_otherwise_is_never_certain() -> None:
    """Where the right value, badly rounded, explains the number too, the mistake is only asked about."""
    part = draw_item(bank()["drop-rate"], "certain", given=DROPS[1]).part("drops")
    only = FaultResult(
        "used unconverted", "drops", "", "something was done", Fraction(1234), Fraction(1234), None, True
    )

    (cause,) = causes_of(part._replace(faults=(only,)), Fraction(1234), 0, doubtful=True)
    assert not cause.certain


@pytest.mark.parametrize(
    ("number", "figures"), [("30", 1), ("0.05", 1), ("93", 2), ("0.93", 2), ("204.6", 4), ("1005", 4), ("1/3", 0)]
)
def test_figures_are_counted_between_the_zeros_at_the_ends(number: str, figures: int) -> None:
    """Zeros that only hold a place tell nothing of how a number came about."""
    assert significant(Fraction(number)) == figures
