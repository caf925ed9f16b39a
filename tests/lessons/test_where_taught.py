"""Each skill and each mistake leads to a section that is there."""

from __future__ import annotations

import json

from calclib.answers.diagnosis.causes import SLIP
from calclib.faults.fault import KINDS
from calclib.lessons import lesson, lesson_names
from calclib.lessons.where_taught import (
    Section,
    example_sections,
    mistakes_in_table,
    sections,
    where_mistake_taught,
    where_taught,
)
from calclib.models import bank
from tests.layers.source_files import REPOSITORY


def _cells(section: Section) -> list[str]:
    """The cells of a section: from its heading to the next."""
    cells = json.loads((REPOSITORY / "course" / section.file).read_text("utf-8"))["cells"]
    start = next(n for n, cell in enumerate(cells) if cell["id"] == section.cell)
    texts = ["".join(cell["source"]) for cell in cells]
    end = next((n for n in range(start + 1, len(texts)) if texts[n].startswith("## ")), len(texts))
    return texts[start:end]


def test_every_section_of_the_table_stands_in_its_lesson() -> None:
    """Its cell is there, with its heading, in the page of its lesson; a section for an example shows a whole one."""
    for section in sections():
        assert _cells(section)[0].splitlines()[0] == f"## {section.heading}", section
        assert section.file.startswith(f"{section.number:02}-")
    for section in example_sections():
        assert any("worked_example(" in text for text in _cells(section)), section


def test_every_skill_of_the_bank_leads_to_a_section() -> None:
    """What a lesson teaches leads into that lesson or one before it; what none teaches is said to be the nearest."""
    teaches = {model: name for name in lesson_names() for model in lesson(name).teaches}
    for model in bank().values():
        found = where_taught(model.id, model.topic)
        assert found is not None, model.id
        assert found.exact == (model.id in teaches), model.id
        if found.exact and model.id not in {"time-between", "secondary-rate", "twenty-four-hour-clock"}:
            assert found.read.lesson == teaches[model.id], model.id

    rate = where_taught("pump-rate", "pump_infusions")
    assert rate is not None
    assert (rate.read.number, rate.example.heading, rate.exact) == (6, "Worked example: the rate", True)
    assert where_taught("mine", "a topic of one's own") is None


def test_every_mistake_leads_to_a_section() -> None:
    """The table holds each kind of mistake and no other; minutes taken for hours lead to minutes in a pump's lesson."""
    assert mistakes_in_table() == {kind.replace(" ", "_") for kind in (*KINDS, SLIP)}
    rate, tablets = where_taught("pump-rate", "pump_infusions"), where_taught("tablets-per-dose", "tablets")
    assert rate is not None
    assert tablets is not None
    assert where_mistake_taught("conversion left out", rate).heading == "When the time is in minutes"
    assert where_mistake_taught("conversion left out", tablets).heading == "Grams, milligrams, micrograms"
    assert where_mistake_taught("a kind of another version", tablets) == tablets.read
