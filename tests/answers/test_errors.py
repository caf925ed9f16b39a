"""An error of the program in one part: that part waits for a person, the others are judged as ever."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from calclib.answers import finding, judge_item, judging, judging_by_keys, marking_policy
from calclib.answers.carrying import carried_from
from calclib.answers.judging_by_keys import judge_keyed
from calclib.answers.setups import parts as setup_parts
from calclib.answers.setups.parts import setups_of
from calclib.cli.commands.judge import reply_to
from calclib.items import draw_item
from calclib.models import item_model
from calclib.quantity import rounding_policy

HOMEWORK = marking_policy("homework")
GIVEN = {"bag": "100 mL", "added": "7.4 mL", "time": "45 min"}
PARTS = ("volume", "rate", "time")


def planted(error: Exception, only: Callable[[Any], bool], real: Any) -> Any:
    """A function that fails for one part and works for the others."""

    def stage(first: Any, *rest: Any, **more: Any) -> Any:
        if only(first) or any(only(one) for one in rest):
            raise error
        return real(first, *rest, **more)

    return stage


def is_rate(thing: Any) -> bool:
    """Whether a stage is at the part in which the error is planted."""
    return getattr(thing, "name", None) == "rate" or thing == "rate" or getattr(thing, "text", "") == "143.2 mL/h"


STAGES = {
    "reading": (judging, "read_part", is_rate),
    "the unit": (finding, "typed_unit", lambda thing: thing == (("mL", 1), ("h", -1))),
    "the number": (finding, "number_status", is_rate),
    "the cause": (finding, "causes_of", is_rate),
    "the message": (judging, "told_of", is_rate),
}


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("error", [ValueError("planted"), KeyError("planted"), RecursionError(), ZeroDivisionError()])
def test_an_error_in_one_part_leaves_that_part_to_a_person(
    monkeypatch: pytest.MonkeyPatch, stage: str, error: Exception
) -> None:
    """Its kind and its part are told, the part has no points, and the others keep their verdict."""
    item = draw_item(item_model("secondary-infusion-entries"), "errors", given=GIVEN)
    answers = {"volume": "107 mL", "rate": "500 mL/h", "time": "45 min"}
    if stage == "reading":
        answers["rate"] = "143.2 mL/h"
    before = {v.part: v for v in judge_item(item, answers, HOMEWORK)}
    module, name, only = STAGES[stage]
    monkeypatch.setattr(module, name, planted(error, only, getattr(module, name)))  # type: ignore[arg-type]
    found = {v.part: v for v in judge_item(item, answers, HOMEWORK)}
    rate = found["rate"]
    assert (rate.verdict, rate.right, rate.score, rate.needs_person) == ("not_judged", False, 0, True)
    assert rate.error == type(error).__name__
    assert rate.to_json()["error"] == type(error).__name__
    assert rate.message.endswith("A person will look at it.")
    assert rate.reading.text == answers["rate"]
    assert {name: found[name] for name in ("volume", "time")} == {name: before[name] for name in ("volume", "time")}


def test_an_error_in_carrying_forward_leaves_only_the_parts_that_ask_for_it() -> None:
    """The first part, wrong as it is, is judged; a later one that is right by its key needs nothing carried."""
    item = draw_item(item_model("secondary-infusion-entries"), "errors", given=GIVEN)

    def fails(part: str, own: Any) -> Any:
        raise LookupError(part)

    answers = {"volume": "90 mL", "rate": item.part("rate").answer, "time": "46 min"}
    volume, rate, time = judge_item(item, answers, HOMEWORK, carried=fails)
    assert (volume.verdict[:5], rate.verdict, time.verdict) == ("wrong", "right", "not_judged")
    assert time.error == "LookupError"


def test_a_model_that_can_not_be_compiled_leaves_only_what_needs_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where what carries forward can't even be made, right answers have their points all the same."""

    def fails(*_: object) -> Any:
        raise RuntimeError

    model = item_model("secondary-infusion-entries")
    item = draw_item(model, "errors", given=GIVEN)
    monkeypatch.setattr(judging_by_keys, "carried_from", fails)
    answers = {"volume": "90 mL", "rate": item.part("rate").answer, "time": "46 min"}
    verdicts = judge_keyed(item, answers, HOMEWORK, [(model, rounding_policy())])
    assert [v.verdict for v in verdicts[1:]] == ["right", "not_judged"]
    assert verdicts[0].verdict.startswith("wrong")


def test_an_error_in_a_set_up_leaves_the_number_behind_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """The set-up waits; the part that asks for the number is judged."""
    model = item_model("setup-drop-rate")
    item = draw_item(model, "errors")

    def fails(*_: object, **__: object) -> Any:
        raise RecursionError

    monkeypatch.setattr(setup_parts, "judge_setup", fails)
    setups = setups_of(item, model, rounding_policy())
    answers = {part.name: part.answer for part in item.parts}
    verdicts = judge_item(item, answers, HOMEWORK, setups=setups)
    assert [v.verdict for v in verdicts if item.part(v.part).kind == "setup"] == ["not_judged"]
    assert all(v.right for v in verdicts if item.part(v.part).kind != "setup")


def test_arithmetic_whose_set_up_fails_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """A typed set-up that comes out wrong and can't be looked at goes before a person."""
    model = item_model("drop-rate")
    item = draw_item(model, "errors", given={"volume": "1000 mL", "time": "8 h", "drop_factor": "15 gtt/mL"})

    def fails(*_: object, **__: object) -> Any:
        raise RecursionError

    monkeypatch.setattr(setup_parts, "judge_setup", fails)
    carried, setups = carried_from(item, model, rounding_policy()), setups_of(item, model, rounding_policy())
    (found,) = judge_item(item, {"drops": "1000 mL / 480 min x 12 gtt/mL"}, HOMEWORK, carried=carried, setups=setups)
    assert (found.verdict, found.error) == ("not_judged", "RecursionError")


def test_a_program_gets_the_other_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    """In the JSON contract only the part that failed says so, in the judge and in what it writes."""
    request = '{"item": "secondary-infusion-entries", "seed": "7", "answers": {"volume": "1 mL", "rate": "500 mL/h"}}'
    monkeypatch.setattr(finding, "causes_of", planted(ValueError(), is_rate, finding.causes_of))
    volume, rate, _ = reply_to(request)["parts"]
    assert (rate["verdict"], rate["error"], rate["score"]) == ("not_judged", "ValueError", 0.0)
    assert volume["verdict"].startswith("wrong")
    assert "error" not in volume
