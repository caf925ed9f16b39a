"""The simulated students' notebooks: those that were handed out, with the answer cells filled in."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from calclib.demo.simulated_students import Planted, Question, TypedAnswer
from calclib.demo.students.student import simulated_answers
from calclib.items import Item, ItemPart

Place = tuple[int, str]


def question(part: ItemPart) -> Question:
    """Return a part of an item as a student reads it."""
    rule = part.rule_text if part.kind == "quantity" else ""
    return Question(part.name, part.asked, rule, part.unit, part.kind, part.choices)


def typed_answers(seed: str, items: Mapping[int, Item], *, prepared: Decimal = Decimal(0)) -> dict[Place, TypedAnswer]:
    """Return what a simulated student types for each part of each problem, by number of the problem and part.

    Args:
        seed: Decides who the student is.
        items: The problems, by their number.
        prepared: By how much the class does better than the published one, in logits.
    """
    found: dict[Place, TypedAnswer] = {}
    for slot, item in items.items():
        questions = tuple(question(part) for part in item.parts)
        for answer in simulated_answers(seed, item.model_id, item.in_words, questions, prepared=prepared):
            found[slot, answer.part] = answer
    return found


def filled_notebook(notebook: bytes, texts: Mapping[str, str]) -> bytes:
    """Return a notebook with answers typed into its answer cells, as a student would; nothing else is changed.

    Args:
        notebook: The notebook as it was handed out.
        texts: The typed text of each answer cell, by grade id.
    """
    content: dict[str, Any] = json.loads(notebook)
    for cell in content["cells"]:
        name = cell["metadata"].get("nbgrader", {}).get("grade_id")
        if texts.get(name):
            source = "".join(cell["source"])
            typed = json.dumps(texts[name], ensure_ascii=False)
            cell["source"] = source.replace('""', typed, 1).splitlines(keepends=True)
    return f"{json.dumps(content, ensure_ascii=False, indent=1, sort_keys=True)}\n".encode()


def write_submission(folder: Path, set_name: str, student: str, notebook: bytes) -> None:
    """Write a notebook where collecting finds it: in a folder with the student's id."""
    place = folder / student / f"{set_name}.ipynb"
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(notebook)


def planted_of(answers: Mapping[Place, TypedAnswer]) -> dict[Place, Planted]:
    """Return what was planted, by place."""
    return {place: answer.planted for place, answer in answers.items()}


def answer_texts(answers: Mapping[Place, TypedAnswer], cells: Sequence[tuple[Place, str]]) -> dict[str, str]:
    """Return the typed texts by the id of their cell."""
    return {cell: answers[place].text for place, cell in cells if place in answers}
