"""The practice notebook of a plan: each skill shown, with a gap, and alone; a check at the end."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calclib.gradebook.cells import Cell, answer_cell, check_cell, grade_id, locked_code, locked_text
from calclib.gradebook.notebook import (
    KERNEL,
    PartText,
    Problem,
    blank_answer,
    own_code,
    picture_texts,
    problem_of,
    question_text,
    start_source,
    text_digest,
)
from calclib.gradebook.plain_markdown import plain_markdown
from calclib.pages.after_exam.places import place_words
from calclib.pages.after_exam.plan_page import capital
from calclib.remediation.needs import Need
from calclib.remediation.practice import Practice
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.items import Item

_GAP_RUNG = 2
# The step and the given at which something went wrong, each "" if it isn't known.
_Where = tuple[str, str]


def plan_notebook(
    set_name: str, title: str, attempt: int, rounding: str, needs: Sequence[tuple[Need, Practice]]
) -> dict[str, Any]:
    """Return the notebook, as plain data.

    Args:
        set_name: The set that wasn't passed.
        title: Its title.
        attempt: Number of the attempt.
        rounding: Name of the rounding policy.
        needs: What the student needs, each with its practice.
    """
    cells = _Cells(f"plan-{set_name}", rounding)
    cells.text("intro", f"# {plain_markdown(said('plan.notebook_title', title=title))}", said("plan.notebook_intro"))
    cells.cells.append(locked_code(grade_id(cells.name, "start"), start_source()))
    for number, (need, practice) in enumerate(needs, start=1):
        cells.skill(number, need, practice)
    checks = [(number, practice.check) for number, (_, practice) in enumerate(needs, start=1) if practice.check]
    if checks:
        cells.text("check", f"## {said('plan.check_title')}", said("plan.check_intro"))
    for number, item in checks:
        cells.asked(f"c{number}", said("plan.check_of", number=number), item, hints=False)
    ours = {"plan": set_name, "attempt": attempt, "digest": _digest(cells.cells)}
    return {
        "cells": cells.cells,
        "metadata": {"calclib": ours, "kernelspec": KERNEL, "language_info": {"name": "python"}},
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def is_worked_in(path: Path) -> bool:
    """Tell whether a practice notebook that is there holds anything but what was written, so that it must be kept."""
    if not path.exists():
        return False
    try:
        found = json.loads(path.read_bytes())
        written = found["metadata"]["calclib"]["digest"]
        return not path.is_file() or bool(written != _digest(found["cells"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return True


def _digest(cells: Sequence[Mapping[str, Any]]) -> str:
    sources = [[cell["cell_type"], "".join(cell["source"])] for cell in cells]
    return hashlib.sha256(json.dumps(sources).encode()).hexdigest()


class _Cells:
    """The cells of a notebook as they are put together; answers are counted through all of it."""

    def __init__(self, name: str, rounding: str) -> None:
        self.name, self.rounding = name, rounding
        self.cells: list[Cell] = []
        self.answers = 0

    def text(self, name: str, *paragraphs: str) -> None:
        """Add a text, its paragraphs Markdown of ours or escaped."""
        self.cells.append(locked_text(grade_id(self.name, name), "\n\n".join(filter(None, paragraphs))))

    def skill(self, number: int, need: Need, practice: Practice) -> None:
        """Add the practice of one skill."""
        head = f"## {number}. {plain_markdown(capital(need.skill))}"
        lines = place_words(need)
        if practice.shown is None:
            self.text(f"s{number}", head, *map(plain_markdown, lines), said("plan.no_practice"))
            return
        self.text(f"s{number}", head, *map(plain_markdown, lines))
        self.shown(f"s{number}-shown", practice.shown)
        if practice.gap:
            self.asked(f"s{number}-gap", said("plan.stage_gap"), practice.gap, gap=_of_mistake(need))
        for n, item in enumerate(practice.alone, start=1):
            self.asked(f"s{number}-alone{n}", said("plan.stage_alone", number=n), item)

    def shown(self, name: str, item: Item) -> None:
        """Add an item with its worked solution."""
        problem = _problem(item)
        blocks = []
        for part in problem.parts:
            worked = "\n".join(f"- {line}" for line in _solution(item).markdown(part.name))
            blocks += [question_text(part), worked]
        self.text(name, f"### {said('plan.stage_shown')}", *_stem(problem), *blocks, said("plan.why_each_line"))

    def asked(self, name: str, head: str, item: Item, *, gap: _Where | None = None, hints: bool = True) -> None:
        """Add an item to be answered; with a set-up that lacks a number if `gap` says where it went wrong."""
        problem = _problem(item)
        several = len(problem.parts) > 1
        first = [] if several else [question_text(problem.parts[0]), *_gap(item, problem.parts[0], gap)]
        self.text(name, f"### {head}", *_stem(problem), *first)
        for part in problem.parts:
            if several:
                self.text(f"{name}-{part.name}", question_text(part), *_gap(item, part, gap))
            self.answers += 1
            variable = f"answer_{self.answers}"
            self.cells.append(answer_cell(grade_id(self.name, name, part.name, "answer"), blank_answer(variable)))
            source = self._check(item, part, variable, hints=hints)
            self.cells.append(check_cell(grade_id(self.name, name, part.name, "check"), source, 0))

    def _check(self, item: Item, part: PartText, variable: str, *, hints: bool) -> str:
        digest = text_digest(item.stem, part.asked)
        more = "" if hints else ", hints=False"
        call = (
            f'check_practice(\n    "{item.model_id}", "{item.seed}", "{part.name}",\n'
            f'    answer="{variable}", rounding="{self.rounding}", text="{digest}"{more},\n)'
        )
        return own_code(fact("handing_out.run_to_judge"), "calclib.plugins", call)


def _of_mistake(need: Need) -> _Where:
    """The step and the given at which the student went wrong, as far as it is known."""
    return (need.mistake.step, need.mistake.given) if need.mistake else ("", "")


def _problem(item: Item) -> Problem:
    return problem_of(item, number=1, title="", points={part.name: Fraction(0) for part in item.parts})


def _stem(problem: Problem) -> Iterator[str]:
    yield plain_markdown(problem.stem.strip())
    yield from picture_texts(problem.pictures)


def _gap(item: Item, part: PartText, place: _Where | None) -> Iterator[str]:
    """The set-up with a gap where the student's own mistake lies, if that can be told, else where it may lie."""
    if place is None:
        return
    step, given = place
    lines = _solution(item).hint(part.name, _GAP_RUNG, step=step, given=given)
    if lines:
        yield "\n".join((said("plan.fill_the_gap"), "", "```", *lines, "```"))


def _solution(item: Item) -> Any:
    from calclib.items.solution import solution_of
    from calclib.models import item_model

    return solution_of(item, item_model(item.model_id))
