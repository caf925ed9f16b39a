"""Rounding that goes by the drug and the tablets that are stated, and keys that stay close to the exact value."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.errors.messages import BadInput
from calclib.items.drawing import draw_item
from calclib.items.stated_rounding import too_far
from calclib.models.bank import bank
from calclib.quantity.enclosure import ends
from calclib.quantity.policies import rounding_policies, rounding_policy

BY_SIZE = rounding_policy("by-size")


@pytest.mark.parametrize(
    ("rule", "exact", "key"),
    [
        ("injection_volume", "0.1699", "0.17"),  # a tenth would be 18 % too much
        ("injection_volume", "1.25", "1.3"),
        ("oral_volume", "0.996", "1"),
        ("pump_rate", "4.43", "4.4"),  # a whole mL/h would be 10 % too little
        ("pump_rate", "62.5", "63"),
        ("high_alert_rate", "19.17", "19.2"),
        ("fastest_rate", "9.99", "9.9"),
        ("fastest_rate", "10.9", "10"),
        ("infusion_volume", "7.46", "7.5"),
        ("unscored_tablets", "2", "2"),
    ],
)
def test_what_courses_start_from_rounds_by_size(rule: str, exact: str, key: str) -> None:
    """Hundredths below 1 mL, tenths from there; pumps in wholes, below 10 mL/h and for high-alert drugs in tenths."""
    assert BY_SIZE.rule(rule).rounded(Fraction(exact)) == Fraction(key)


@pytest.mark.parametrize("name", list(rounding_policies()))
def test_no_policy_sets_a_high_alert_drug_more_coarsely_than_another(name: str) -> None:
    """Where a policy rounds rates to tenths, it does so for high-alert drugs too."""
    policy = rounding_policy(name)

    for rate in map(Fraction, ("2.4", "9.6", "24", "240")):
        finer, plain = policy.rule("high_alert_rate").step_at(rate), policy.rule("pump_rate").step_at(rate)
        assert finer <= plain


@pytest.mark.parametrize(
    ("rule", "exact", "key", "high_alert", "far"),
    [
        ("injection_volume", "0.17", "0.2", False, True),
        ("injection_volume", "2.04", "2", False, False),
        ("injection_volume", "1.25", "1.3", True, False),  # half a mark of a 3 mL syringe
        ("injection_volume", "1.4", "1.46", True, True),
        ("pump_rate", "4.43", "4", False, True),
        ("pump_rate", "4.21", "4", False, False),  # 4.99 %
        ("pump_rate", "4.22", "4", False, True),  # 5.2 %
        ("high_alert_rate", "30.7", "30", True, True),  # 2.3 %
        ("high_alert_rate", "30.6", "30", True, False),  # 1.96 %
        ("body_surface", "0.7", "1", False, True),
        ("small_volume", "0.085", "0.09", True, False),  # half a mark of a 1 mL syringe
        ("small_volume", "0.084", "0.1", True, True),
        ("dose_units", "4.5", "5", True, False),  # half a mark of an insulin syringe
        ("drop_rate", "7.5", "8", False, False),  # drops are counted
        ("duration_min", "7.5", "8", False, False),
    ],
)
def test_a_key_stays_within_a_share_of_the_value(rule: str, exact: str, key: str, high_alert: bool, far: bool) -> None:
    """5 %, of a high-alert drug 2 %, or half a mark of the device; what is counted or timed follows its device."""
    assert too_far(BY_SIZE.rule(rule), Fraction(key), Fraction(exact), high_alert) is far


@pytest.mark.parametrize("policy", ["by-size", "tenths-and-wholes", "whole"])
@pytest.mark.parametrize("model_id", ["dexmedetomidine-load", "body-surface-child", "heparin-start", "surface-dose"])
def test_no_draw_is_keyed_far_from_the_value(model_id: str, policy: str) -> None:
    """A draw that a policy would round too far is not used; where none is left, the policy is named."""
    for seed in range(6):
        try:
            item = draw_item(bank()[model_id], f"near {seed}", policy=rounding_policy(policy))
        except BadInput:
            continue
        for part in item.parts:
            if part.kind == "quantity" and part.rule is not None and part.rule.name != "small_volume":
                assert part.exact is not None and part.key is not None
                low, high = ends(part.exact)
                assert low - low / 20 <= part.key <= high + high / 20


def test_a_policy_that_can_not_be_used_with_a_quantity_says_so() -> None:
    """Cut off to whole numbers, a surface of 1.68 m2 would be 1 m2: a teacher who fixes the numbers is told."""
    item = draw_item(
        bank()["body-surface-dubois"],
        "1",
        policy=rounding_policy("whole-down"),
        given={"height": "170 cm", "weight": "60 kg"},
    )

    assert not item.fair
    problems = [why.field("problem") for why in item.why]
    (far,) = (problem for problem in problems if problem is not None and problem.kind == "draw.too_far")
    assert (far.field("answer"), far.field("most")) == ("1 m2", "5")


def test_a_rate_of_a_high_alert_drug_is_set_to_tenths_and_others_to_wholes() -> None:
    """Heparin is on the published list of high-alert medicines, sodium chloride as a carrier is not."""
    heparin = draw_item(bank()["units-per-hour-rate"], "1", given={"dose": "960 units/h"})
    fluid = draw_item(bank()["pump-rate"], "1", given={"volume": "1,000 mL", "time": "6 h"})

    assert (heparin.parts[0].rule_text, fluid.parts[0].answer) == (
        "Round to the nearest tenth of a mL/h (0.1 mL/h).",
        "167 mL/h",
    )


@pytest.mark.parametrize(
    "strength", ["300 mg unscored tablets", "300 mg enteric-coated tablets", "300 mg extended-release tablets"]
)
def test_tablets_that_can_not_be_halved_are_given_whole(strength: str) -> None:
    """2.5 unscored tablets are no dose, and the refusal says so; 2 tablets are."""
    model = bank()["tablets-per-dose"]

    with pytest.raises(BadInput, match=r"2\.5 tablets, and tablets that are not scored are given whole"):
        draw_item(model, "1", given={"order": "750 mg", "strength": strength})
    whole = draw_item(model, "1", given={"order": "600 mg", "strength": strength})
    assert (whole.parts[0].answer, whole.parts[0].rule_text) == ("2 tablets", "Round to the nearest whole tablet.")


def test_scored_tablets_may_be_halved() -> None:
    """The strength says that they are scored, so a half is an answer."""
    item = draw_item(bank()["tablets-per-dose"], "1", given={"order": "750 mg", "strength": "300 mg scored tablets"})

    assert item.parts[0].answer == "2.5 tablets"


def test_a_model_of_scored_tablets_refuses_others() -> None:
    """The stem says “scored tablets”; a strength that says otherwise would make it false."""
    with pytest.raises(BadInput, match="draws scored tablets"):
        draw_item(bank()["tablets-for-days"], "1", given={"strength": "300 mg unscored tablets"})
