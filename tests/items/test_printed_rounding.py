"""What a stem and its questions print of the rounding that applies."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.models import bank, item_model
from calclib.quantity import rounding_policies, rounding_policy
from tests.items.drawn import FULL

WEIGHED = sorted(
    model.id
    for model in bank().values()
    if any(given.kind == "body_weight" and "lb" in str(given.forms) for given in model.givens.values())
)
SENTENCE = "to the nearest tenth of a kg (0.1 kg) first, and continue with the rounded value."


def in_pounds(model: str) -> Item | None:
    """A draw under `kilograms-first` whose stem states a weight in pounds."""
    policy = rounding_policy("kilograms-first")
    for seed in range(8):
        item = draw_item(item_model(model), f"first {seed}", policy=policy)
        if any(given.text.endswith(" lb") for given in item.givens):
            return item
    return None


@pytest.mark.parametrize("model", WEIGHED)
def test_a_rounding_that_is_required_on_the_way_is_printed(model: str) -> None:
    """A stem whose key needs the rounded weight says so, and no other stem does."""
    item = in_pounds(model)
    if item is None:
        pytest.skip("eight draws state the weight in kg")
    required = any(way.by.kind == "way.required" for part in item.parts for way in part.accepted)
    assert (SENTENCE in item.stem) == required


def test_a_weight_that_changes_nothing_is_required_to_be_rounded_nowhere() -> None:
    """Under the usual policy, which lets both ways pass, no stem asks for it."""
    for model in WEIGHED:
        assert SENTENCE not in draw_item(item_model(model), "usual").stem


@pytest.mark.parametrize("name", list(rounding_policies()))
def test_each_question_prints_the_rule_by_which_it_is_keyed(name: str) -> None:
    """The text beside the question is that of the policy's own rule, and the key is the exact value rounded by it."""
    policy = rounding_policy(name)
    drawn = 0
    for model in list(bank().values())[:: 12 if FULL else 30]:
        try:
            item = draw_item(model, "printed", policy=policy)
        except BadInput:  # a few mg, all to whole mg: no draw is fair
            continue
        drawn += 1
        for part, asked in zip(item.parts, model.parts, strict=True):
            if part.kind != "quantity":
                continue
            rule = policy.rule(asked.rounding)
            kind = next(step.kind for step in model.steps if step.name == asked.asks)
            printed = "Round up to the next whole number." if kind == "count_up" else rule.text(part.unit)
            assert part.rule_text == printed
            assert part.exact is not None
            assert part.key == rule.rounded(part.exact)
    assert drawn >= (10 if FULL else 4)


def test_the_same_numbers_are_corrected_item_under_another_policy() -> None:
    """40 lb at 20 mL/kg: 363.6... mL; 364 mL with 18.2 kg, which a policy requires; 363.6 mL to tenths."""
    given = {"weight": "40 lb", "dose": "20 mL/kg"}
    keys = {}
    for name in ("ties-to-even", "kilograms-first", "tenths", "whole-down"):
        item = draw_item(item_model("fluid-bolus"), "a", policy=rounding_policy(name), given=given)
        keys[name] = item.parts[0].key
    assert keys == {
        "ties-to-even": 364,
        "kilograms-first": 364,
        "tenths": Fraction("363.6"),
        "whole-down": 363,
    }


@pytest.mark.parametrize("name", ["hundredths", "thousandths", "tenths", "exact", "whole-down", "whole-up"])
def test_no_policy_rounds_a_time_of_day_to_parts_of_a_minute(name: str) -> None:
    """A clock shows whole minutes, whatever is done with amounts."""
    policy = rounding_policy(name)
    for model in ("latest-start", "infusion-end-time", "case-burned-patient"):
        item = draw_item(item_model(model), "clock", policy=policy)
        clocks = [part for part in item.parts if part.kind == "clock"]
        assert clocks
        assert all(part.key is not None and part.key.denominator == 1 for part in clocks)


COUNTED_UP = sorted(
    (model.id, part.name)
    for model in bank().values()
    for part in model.parts
    if any(step.name == part.asks and step.kind == "count_up" for step in model.steps)
)


@pytest.mark.parametrize(("model", "part"), COUNTED_UP)
def test_what_is_counted_up_is_never_said_to_be_rounded_to_the_nearest(model: str, part: str) -> None:
    """2.36 bags are 3: a student who reads “to the nearest whole number” would order 2."""
    found = next(one for one in draw_item(item_model(model), "counted").parts if one.name == part)
    assert found.rule_text == "Round up to the next whole number."
