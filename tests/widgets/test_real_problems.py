"""The practice box with the library's own problems and judge."""

from __future__ import annotations

import html
import re

import pytest

from calclib.items import ItemPart
from calclib.widgets.engine import practice_engine
from calclib.widgets.practice import PracticeBox

LESSON = ("secondary-infusion-entries", "pump-rate", "tubing-drug-left", "tubing-drug-left-back-primed")
OTHERS = ("infusion-end-time", "safe-dose-range", "drop-rate")


def opened(name: str) -> PracticeBox:
    """A box on one kind of problem."""
    return PracticeBox((name,), "here", practice_engine())


def text_of(area: str) -> str:
    """What a reader sees of an area."""
    return html.unescape(re.sub(r"<[^>]+>", " ", area))


def parts(box: PracticeBox) -> tuple[ItemPart, ...]:
    """The questions of the problem at hand."""
    assert box.item is not None
    return box.item.parts


@pytest.mark.parametrize("name", LESSON + OTHERS)
def test_the_right_answers_are_right(name: str) -> None:
    """The key, typed as it is written, solves the problem; choices are offered among the others."""
    box = opened(name)
    for part in parts(box):
        box.fields[part.name].value = part.answer
    box.check()
    assert text_of(box.result.widget.value).count("\u2713 Right") == len(parts(box))
    assert box.solved == 1


@pytest.mark.parametrize("name", LESSON)
def test_a_known_mistake_is_named(name: str) -> None:
    """The number to which a fault leads is met with the words for that fault."""
    box = opened(name)
    part = parts(box)[-1]
    fault = next(fault for fault in part.faults if fault.hard and fault.written is not None)
    box.fields[part.name].value = f"{float(fault.written or 0):.10g} {part.unit}"
    box.check()
    told = text_of(box.result.widget.value)
    assert "Not right yet" in told
    assert fault.says in told


@pytest.mark.parametrize("name", LESSON + OTHERS)
def test_hints_and_worked_solution_have_something_to_say(name: str) -> None:
    """Three different hints, and a worked solution that holds each answer."""
    box = opened(name)
    hints = []
    for rung in (1, 2, 3):
        box.show_hint(rung)
        hints.append(text_of(box.help.widget.value))
    assert len(set(hints)) == 3
    box.show_worked()
    told = text_of(box.help.widget.value)
    assert all(part.answer in told for part in parts(box))
    assert "failed" not in told


def test_nothing_typed_is_told_as_such() -> None:
    """An empty field is not a wrong answer."""
    box = opened("pump-rate")
    box.check()
    assert "Not answered yet." in box.result.widget.value
    assert "Not right" not in box.result.widget.value
