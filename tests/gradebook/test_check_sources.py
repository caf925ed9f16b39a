"""What a check cell says is read is what marking reads."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.answers.typed_reading import read_part
from calclib.gradebook.notebook import check_source, problem_of
from calclib.items import draw_item
from calclib.items.item import Item, ItemPart
from calclib.models import bank, item_model
from calclib.reading import Blank, Reading, show_answer

TYPED = (
    "5",
    "5 mL",
    "5 c",
    "2 pills",
    "1:1,000",
    "0.5 x 100",
    "98.6 C",
    "30 m",
    "5 mL cefazolin",
    "5 mL of metoprolol tartrate",
    "1 tab amoxicillin",
    "0130",
    "7",
    "q12h",
    "",
    "about",
    "5 mL (4.8)",
    ".5 mg",
)
MODELS = sorted(model.id for model in bank().values())


def check_says(item: Item, part: ItemPart, typed: str, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The lines that the check cell of a handed-out notebook prints of a typed answer."""
    printed: list[str] = []
    problem = problem_of(item, number=1, title="", points={one.name: Fraction(1) for one in item.parts})
    text = next(one for one in problem.parts if one.name == part.name)
    names = {"show_answer": lambda *a, **k: show_answer(*a, **k, history=[f'answer_1 = "{typed}"'])}
    monkeypatch.setattr("builtins.print", lambda *words: printed.extend(" ".join(words).splitlines()))
    exec(check_source("answer_1", text).rpartition("\n\n")[2], names)  # noqa: S102 - our own source
    monkeypatch.undo()
    return printed


@pytest.mark.parametrize("model", MODELS[::5])
def test_a_check_cell_reads_as_marking_reads(model: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same value and unit, or the same refusal, also where only the problem tells what a word means."""
    item = draw_item(item_model(model), "check")
    for part in item.parts:
        for typed in TYPED:
            first = check_says(item, part, typed, monkeypatch)[0]
            reading = read_part(item, part, typed)
            if isinstance(reading, Reading):
                assert first.startswith(f"Read as {reading.shown}"), (part.name, typed)
            elif isinstance(reading, Blank):
                assert first == "No answer yet."
            else:
                assert first == f"Not read: {reading.reason}", (part.name, typed)


@pytest.mark.parametrize("model", MODELS[::5])
def test_the_key_is_read_without_a_remark(model: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The unit that the question asks is the one in which the key is written."""
    item = draw_item(item_model(model), "check")
    for part in item.parts:
        if part.kind == "quantity":
            (line,) = check_says(item, part, part.answer, monkeypatch)
            assert "unit" not in line.replace("units", ""), (part.name, line)
            assert line.startswith("Read as ")
