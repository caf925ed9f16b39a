"""A problem that stands in another's place goes by the names of that place; it is judged as by its own."""

from __future__ import annotations

import pytest

from calclib.answers import marking_policy
from calclib.answers.judging_by_keys import judge_keyed
from calclib.answers.runs import recorded_run
from calclib.items import draw_item, item_from_record
from calclib.items.part_names import with_own_names, with_part_names
from calclib.models import item_model
from calclib.quantity import rounding_policy

POLICY = rounding_policy("by-size")
MODELS = ("weight-dose-volume", "secondary-infusion-entries", "setup-drop-rate", "safe-dose-range", "pump-rate")
# Names of a place that mean something else in these models, in another order.
PLACE = ("volume", "rate", "verdict", "time")


@pytest.mark.parametrize("typed", ["1 mL", "999", "", "the rate"], ids=["a value", "a number", "nothing", "words"])
@pytest.mark.parametrize("name", MODELS)
def test_it_is_judged_by_its_own_names(name: str, typed: str) -> None:
    """Verdicts, causes, and what is carried forward or told are the same, part by part, also from the record."""
    model = item_model(name)
    item = draw_item(model, "one", policy=POLICY)
    other = item_from_record(with_part_names(item, PLACE[: len(item.parts)]).to_record())
    assert [part.name for part in other.parts] == list(PLACE[: len(item.parts)])
    marking, ways = marking_policy("homework"), [(model, POLICY)]
    texts = [typed, *(part.answer for part in item.parts[1:])]
    of_own = {part.name: text for part, text in zip(item.parts, texts, strict=True)}
    of_other = {part.name: text for part, text in zip(other.parts, texts, strict=True)}
    own, there = judge_keyed(item, of_own, marking, ways), judge_keyed(other, of_other, marking, ways)
    assert [one._replace(part="") for one in there] == [one._replace(part="") for one in own]
    assert [one.part for one in there] == [part.name for part in other.parts]


def test_a_wrong_first_answer_is_carried_forward_there_too() -> None:
    """The second part goes on from the student's own first answer: 2 mL for each 10 mg, named as its model names it."""
    model = item_model("newborn-dose")
    given = {"dose": "10 mg/kg", "weight": "2 kg", "strength": "5 mg/mL"}
    item = with_part_names(draw_item(model, "one", policy=POLICY, given=given), ("rate", "time"))
    first, second = judge_keyed(item, {"rate": "30 mg", "time": "6 mL"}, marking_policy("homework"), [(model, POLICY)])
    assert (first.part, first.right) == ("rate", False)
    assert (second.part, second.verdict) == ("time", "carried_forward")
    assert "amount" in second.message


def test_names_are_given_back() -> None:
    """What is named otherwise is the same again by its own names; by these nothing is recorded of others."""
    item = draw_item(item_model("secondary-infusion-entries"), "one", policy=POLICY)
    other = with_part_names(item, PLACE[: len(item.parts)])
    assert with_own_names(other) == item
    assert with_part_names(other, [part.name for part in item.parts]) == item
    assert "own_names" not in item.to_record()


def test_a_run_is_that_of_the_question_and_not_of_its_name() -> None:
    """A pump's rate in a place that is called volume is run as a rate."""
    item = draw_item(item_model("pump-rate"), "one", policy=POLICY, given={"volume": "1,000 mL", "time": "8 h"})
    other = with_part_names(item, ("volume",))
    reading = {"value": "60", "unit": "mL/h", "shown": "60 mL/h"}
    found = recorded_run(other, "volume", reading)
    assert found is not None
    assert found == recorded_run(item, "rate", reading)
