"""The practice box with the library's own problems and judge."""

from __future__ import annotations

from typing import Any

import pytest

from calclib.items import ItemPart
from calclib.widgets import practice_box
from calclib.widgets.practice import PracticeBox

LESSON = ("secondary-infusion-entries", "pump-rate", "tubing-drug-left", "tubing-drug-left-back-primed")
OTHERS = ("infusion-end-time", "safe-dose-range", "drop-rate")


def opened(name: str) -> PracticeBox:
    """A box on one kind of problem."""
    return practice_box(name, "here")


def ask(box: PracticeBox, what: str, **more: Any) -> Any:
    """Send what the page sends at a press, and return what is told then."""
    box._handle_custom_msg({"ask": what, "problem": box.problem["number"], **more}, [])
    return box.told


def parts(box: PracticeBox) -> tuple[ItemPart, ...]:
    """The questions of the problem at hand."""
    assert box.session.item is not None
    return box.session.item.parts


@pytest.mark.parametrize("name", LESSON + OTHERS)
def test_the_right_answers_are_right(name: str) -> None:
    """The key, typed as it is written, solves the problem at the first try."""
    box = opened(name)
    told = ask(box, "check", answers={part.name: part.answer for part in parts(box)})
    assert told["solved"] is True
    assert told["progress"] == "Right at the first try and without help: 1 of 1."


@pytest.mark.parametrize("name", LESSON)
def test_a_known_mistake_is_named(name: str) -> None:
    """The number to which a fault leads is met with the words for that fault."""
    box = opened(name)
    part = parts(box)[-1]
    fault = next(fault for fault in part.faults if fault.hard and fault.written is not None)
    told = ask(box, "check", answers={part.name: f"{float(fault.written or 0):.10g} {part.unit}"})["parts"][part.name]
    assert told["state"] == "wrong"
    assert fault.says in " ".join(told["lines"])


@pytest.mark.parametrize("name", LESSON + OTHERS)
def test_hints_and_worked_solution_have_something_to_say(name: str) -> None:
    """Three different hints for each part, and a worked solution that holds each answer."""
    box = opened(name)
    for part in parts(box):
        assert len({tuple(ask(box, "hint", part=part.name)["lines"]) for _ in range(3)}) == 3
    worked = ask(box, "worked")["parts"]
    for part, told in zip(parts(box), worked, strict=True):
        assert part.answer in " ".join(told["lines"])


@pytest.mark.parametrize("name", LESSON + OTHERS)
def test_no_name_of_the_program_is_a_label(name: str) -> None:
    """What stands beside a field is the question, never the name that an item model gives the part."""
    box = opened(name)
    for part in box.problem["parts"]:
        assert part["asked"].endswith(("?", "."))
        assert part["asked"] != part["name"]


def test_nothing_typed_is_told_as_such() -> None:
    """An empty field is not a wrong answer."""
    told = ask(opened("pump-rate"), "check", answers={"rate": ""})["parts"]["rate"]
    assert (told["state"], told["mark"], told["lines"]) == ("open", "Not answered yet.", [])
