"""What is recorded of an item is all that is needed later: it comes back whole, and its solution is computed again."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from calclib.errors.messages import BadInput
from calclib.items import draw_item, item_from_record, solution_of
from calclib.items.solution import rebuilt
from calclib.models import item_model, read_item_model
from calclib.quantity.policies import rounding_policies
from tests.items.drawn import MODELS, drawn_items, model


@pytest.mark.parametrize("name", MODELS)
def test_a_record_comes_back_through_json(name: str) -> None:
    """An item written as JSON and read again is the same item."""
    for item in drawn_items(name):
        assert item_from_record(json.loads(json.dumps(item.to_record()))) == item


@pytest.mark.parametrize("name", MODELS)
def test_the_frozen_text_rebuilds_every_value(name: str) -> None:
    """From record and frozen text of the model alone every key is computed again, and the same steps are shown."""
    frozen = read_item_model(model(name).text, "frozen")
    for item in drawn_items(name):
        solution = solution_of(item_from_record(item.to_record()), frozen)
        for part in item.parts:
            assert part.rule is None or part.exact is not None
            assert solution.worked_facts(part.name) == item.worked[part.name]


@pytest.mark.parametrize("policy", ["kilograms-first", "children-cut-off", "hundredths"])
def test_a_record_is_rebuilt_under_its_own_policy(policy: str) -> None:
    """The policy named in the record decides the roundings on the way."""
    chosen = item_model("weight-dose-volume")
    item = draw_item(
        chosen, "policy", policy=rounding_policies()[policy], given={"weight": "62 lb", "dose": "1.5 mg/kg"}
    )
    _, values = rebuilt(item, chosen, rounding_policies()[policy])

    assert item.policy_name == policy
    assert values["amount"] == item.part("amount").exact


def test_another_model_is_refused() -> None:
    """A model that has changed since the draw is not used to explain it."""
    chosen = item_model("drop-rate")
    item = draw_item(chosen, "changed")
    changed = read_item_model(chosen.text + "\n# a later note\n", "drop_rate.toml")

    with pytest.raises(BadInput, match="has changed since"):
        solution_of(item, changed)


RECORD: dict[str, Any] = drawn_items("vials-to-open")[0].to_record()
DAMAGE = {
    "another version": {"record": 999},
    "no version": {"record": None},
    "no stem": {"stem": ...},
    "no parts": {"parts": ...},
    "short model": {"model": ["vials-to-open"]},
    "givens of a wrong form": {"givens": [["order"]]},
    "a part that is none": {"parts": [{"name": "dose"}]},
    "no worked lines": {"worked": ...},
}


@pytest.mark.parametrize("change", DAMAGE.values(), ids=DAMAGE.keys())
def test_a_damaged_record_is_refused(change: dict[str, Any]) -> None:
    """A record that lacks something is refused in words, not read as something else."""
    record = copy.deepcopy(RECORD)
    for key, value in change.items():
        record.pop(key)
        if value is not ...:
            record[key] = value
    with pytest.raises(BadInput):
        item_from_record(record)


@pytest.mark.parametrize("number", ["1/0", "x", "", "1..2..3"])
def test_a_damaged_number_is_refused(number: str) -> None:
    """A number that can't be read makes the record damaged, with no other error."""
    record = copy.deepcopy(RECORD)
    record["parts"][0]["exact"] = number
    with pytest.raises(BadInput):
        item_from_record(record)
