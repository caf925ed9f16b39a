"""Mistakes that are named where they fit, although no draw is refused for their sake."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.verdict import PartVerdict
from calclib.items import draw_item
from calclib.models import item_model
from calclib.quantity.writing import write_quantity

HOMEWORK = marking_policy("homework")


def verdict(model: str, given: Mapping[str, str], part: str, typed: str) -> PartVerdict:
    """The verdict on one answer to a problem with these numbers."""
    item = draw_item(item_model(model), "rarer", given=given)
    return next(v for v in judge_item(item, {part: typed}, HOMEWORK) if v.part == part)


@pytest.mark.parametrize(
    ("model", "given", "part", "typed", "kind"),
    [
        # Due 550 mL, 400 mL have run in: “ordered less left” is one number to the student, who forgets or adds it.
        (
            "infusion-behind",
            {"volume": "1,000 mL", "time": "10 h", "elapsed": "5.5 h", "left": "600 mL"},
            "behind",
            "550 mL",
            "term left out",
        ),
        (
            "infusion-behind",
            {"volume": "1,000 mL", "time": "10 h", "elapsed": "5.5 h", "left": "600 mL"},
            "behind",
            "950 mL",
            "wrong sign",
        ),
        # 3.7 h written as 3 h 70 min.
        ("infusion-duration", {"volume": "370 mL", "rate": "100 mL/h"}, "time", "250 min", "decimal hours"),
    ],
)
def test_a_rare_mistake_is_a_question(model: str, given: Mapping[str, str], part: str, typed: str, kind: str) -> None:
    """The mistake is named, but never for certain."""
    found = verdict(model, given, part, typed)
    assert kind in {name for cause in found.causes for name in (cause.fault, *cause.also)}
    assert not any(cause.certain for cause in found.causes)


def test_a_mistake_of_a_looked_up_percentage() -> None:
    """A change of 10% taken as 100%, and one that is added where it is taken off."""
    given = {"rate": "8 mL/h", "aptt": "45 s", "weight": "33 kg"}
    slipped = verdict("heparin-adjustment", given, "rate", "16 mL/h")
    assert slipped.verdict == "wrong_with_cause"
    turned = verdict("heparin-adjustment", given, "rate", "7.2 mL/h")
    assert {cause.fault for cause in turned.causes} & {"wrong sign"}


def test_names_that_come_to_the_same_are_kept_together() -> None:
    """Where two mistakes of one family always lead to one number, the cause holds both names, and JSON too."""
    model = item_model("dose-by-age-and-weight")
    for n in range(20):
        item = draw_item(model, f"together {n}")
        part = item.part("daily")
        shared = [f for f in part.faults if f.fault == "divided the wrong way" and "inverted" in f.also]
        if shared:
            break
    assert shared[0].written is not None
    typed = write_quantity(shared[0].written, part.unit)
    found = next(v for v in judge_item(item, {part.name: typed}, HOMEWORK) if v.part == part.name)
    assert "inverted" in found.causes[0].also
    assert found.to_json()["causes"][0]["also"] == list(found.causes[0].also)
