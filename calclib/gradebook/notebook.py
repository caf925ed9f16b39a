"""A set as a notebook: for each problem its stem, and for each part an answer cell and a check cell.

The notebook holds no key, no seed and nothing that was computed from them without the course secret.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from calclib.gradebook.cells import Cell, answer_cell, check_cell, grade_id, locked_code, locked_text
from calclib.gradebook.plain_markdown import plain_markdown
from calclib.reading import PLACE
from calclib.reading.problem_readings import written_context
from calclib.records.part_letters import part_letters
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import said, sentence

if TYPE_CHECKING:
    from calclib.items import Drawing, Item
    from calclib.models.papers import Paper

KERNEL = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
TYPED = ("quantity", "setup")
"""The kinds of parts in whose answers words may be unclear."""


@dataclass(frozen=True)
class PartText:
    """One question of a problem as a student sees it.

    `unit` is None where no unit is typed; `about` holds the units and names that tell how unclear words are meant.
    """

    name: str
    kind: str
    asked: str
    rule: str
    choices: tuple[str, ...]
    points: Fraction
    unit: str | None = None
    about: str = ""


@dataclass(frozen=True)
class Problem:
    """One problem of a set as a student sees it."""

    number: int
    title: str
    stem: str
    parts: tuple[PartText, ...]
    pictures: tuple[Paper | Drawing, ...] = ()
    asked: bool = True


@dataclass(frozen=True)
class AnswerPlace:
    """Where one answer stands: the ids of its cells, and its variable."""

    slot: int
    part: str
    kind: str
    points: Fraction
    answer_id: str
    check_id: str
    variable: str
    blank: str


def problem_of(
    item: Item, *, number: int, title: str, points: Mapping[str, Fraction], stem: str | None = None
) -> Problem:
    """Return a drawn item as a problem of a set; `stem` takes the place of the item's own and of its drawings."""
    about = _about(item.stem, [(given.text, given.says) for given in item.givens], [part.unit for part in item.parts])
    parts = tuple(
        PartText(
            part.name,
            part.kind,
            part.asked,
            part.rule_text,
            part.choices,
            points[part.name],
            _unit(part.kind, part.unit),
            about if stem is None and part.kind in TYPED else "",
        )
        for part in item.parts
    )
    pictures = item.pictures if stem is None else ()
    return Problem(number, title, item.stem if stem is None else stem, parts, pictures)


def _about(stem: str, givens: Sequence[tuple[str, str]], units: Sequence[str]) -> str:
    from calclib.answers.typed_reading import problem_context

    return written_context(problem_context(stem, givens, units))


def _unit(kind: str, unit: str) -> str | None:
    from calclib.quantity.writing import write_unit

    return (write_unit(unit) if unit else "") if kind == "quantity" else None


def recorded_problem(number: int, title: str, record: Mapping[str, Any], points: Mapping[str, Fraction]) -> Problem:
    """Return a problem as it is recorded, without its drawings.

    Args:
        number: Its place in the set.
        title: Title of its item model.
        record: The record of the item.
        points: Points of each part by its name; 0 where they don't matter.
    """
    about = _about(
        record["stem"], [(given[1], given[3]) for given in record["givens"]], [part["unit"] for part in record["parts"]]
    )
    parts = tuple(
        PartText(
            name=part["name"],
            kind=part["kind"],
            asked=part["asked"],
            rule=part["rule_text"],
            choices=tuple(part["choices"]),
            points=points.get(part["name"], Fraction(0)),
            unit=_unit(part["kind"], part["unit"]),
            about=about if part["kind"] in TYPED else "",
        )
        for part in record["parts"]
    )
    return Problem(number, title, record["stem"], parts)


def taken_out(problem: Problem) -> Problem:
    """Return what stands in a notebook in the place of a problem that counts for nobody: its number, and that it went.

    The other answers keep their names.
    """
    return replace(problem, stem=said("handing_out.taken_out"), pictures=(), asked=False)


def answer_places(set_name: str, problems: Mapping[int, Mapping[str, tuple[str, Fraction]]]) -> tuple[AnswerPlace, ...]:
    """Return the places of all answers of a set, in order.

    Args:
        set_name: Name of the set.
        problems: For each number of a problem, the kind and the points of each part by its name.
    """
    places: list[AnswerPlace] = []
    for number, parts in problems.items():
        for part, (kind, points) in parts.items():
            variable = f"answer_{len(places) + 1}"
            answer, check = (grade_id(set_name, f"q{number}", part, role) for role in ("answer", "check"))
            blank = blank_answer(variable)
            places.append(AnswerPlace(number, part, kind, points, answer, check, variable, blank))
    return tuple(places)


def blank_answer(variable: str) -> str:
    """Return the source of an answer cell before anything is typed."""
    return f'{variable} = ""\n{PLACE}'


def check_source(variable: str, part: PartText, costs: str = "") -> str:
    """Return the source of a check cell: it shows how the answer is read, never whether it is right.

    Args:
        variable: The name to which the answer is assigned.
        part: The question.
        costs: What can cost points in the set, on one line; "" for nothing.
    """
    more = {"asked": part.kind, "choices": list(part.choices) or None, "unit": part.unit, "about": part.about or None}
    told = {name: json.dumps(what, ensure_ascii=False) for name, what in more.items() if what is not None}
    more_told = "".join(f", {name}={what}" for name, what in told.items())
    last = f",\n    costs={json.dumps(costs, ensure_ascii=False)},\n" if costs else ""
    call = f'show_answer("{variable}"{more_told}{last})'
    return own_code(fact("handing_out.run_to_read"), "calclib.reading", call)


def text_digest(stem: str, asked: str) -> str:
    """Return a few signs that tell one problem's text from another's; nothing of its key."""
    return hashlib.sha256(f"{stem}\n{asked}".encode()).hexdigest()[:8]


def practice_check_source(set_name: str, problem: Problem, part: PartText) -> str:
    """Return the source of a check cell of an open practice set: it judges the answer and explains.

    Args:
        set_name: Name of the set.
        problem: The problem.
        part: The part.
    """
    place = f'"{set_name}", {problem.number}, "{part.name}", text="{text_digest(problem.stem, part.asked)}"'
    return own_code(fact("handing_out.run_to_judge"), "calclib.plugins", f"check_answer({place})")


def start_source() -> str:
    """Return the source of the first code cell of a set: from it on, answers are read as text."""
    return own_code(fact("handing_out.run_first"), "calclib.reading", "start_set()")


def own_code(words: Fact, module: str, call: str) -> str:
    """Return the source of a cell of ours: a line in words, which stands for it while it is folded, then one call.

    Where the library is missing a sentence says so; nbgrader, to which a cell without an error is a right answer,
    gets the error.

    Args:
        words: What the cell is for.
        module: The module from which the called function comes.
        call: The call, in Python.
    """
    name = call.partition("(")[0]
    missing = json.dumps(said("check_cell.library_missing"), ensure_ascii=False)
    return "\n".join(
        (
            f"# {sentence(words)}",
            "try:",
            f"    from {module} import {name}",
            "except ModuleNotFoundError:",
            '    import os\n    if "NBGRADER_EXECUTION" in os.environ:\n        raise',
            f"    {name} = lambda *_, **__: print({missing})",
            "",
            call,
        )
    )


def render_notebook(
    *,
    set_name: str,
    title: str,
    problems: tuple[Problem, ...],
    made_for: str | None = None,
    tag: str | None = None,
    answers: Mapping[str, str] | None = None,
    rules: Sequence[str] = (),
    costs: str = "",
    practice: bool = False,
) -> dict[str, Any]:
    """Return a notebook (nbformat 4.5, as plain data) of a set.

    Args:
        set_name: Name of the set.
        title: Title that students read.
        problems: The problems, in order.
        made_for: Pseudonym of the student, None for a template or an open set.
        tag: The keyed tag that ties the notebook to its record.
        answers: Sources of answer cells by variable, where they aren't blank.
        rules: The rules that can cost marks, a sentence each.
        costs: The same on one line, which each check cell prints.
        practice: Whether the set is an open practice set, whose check cells judge.
    """
    cells: list[Cell] = [
        locked_text(grade_id(set_name, "intro"), _intro(title, rules, practice=practice)),
        locked_code(grade_id(set_name, "start"), start_source()),
    ]
    count = 0
    for problem in problems:
        head = "\n\n".join(
            (f"## Problem {problem.number}", plain_markdown(problem.stem.strip()), *picture_texts(problem.pictures))
        )
        if len(problem.parts) == 1 and problem.asked:
            head = f"{head}\n\n{question_text(problem.parts[0])}"
        cells.append(locked_text(grade_id(set_name, f"q{problem.number}", "stem"), head))
        if not problem.asked:
            count += len(problem.parts)
            continue
        letters = part_letters(part.name for part in problem.parts)
        for part in problem.parts:
            count += 1
            variable = f"answer_{count}"
            place = (set_name, f"q{problem.number}", part.name)
            if len(problem.parts) > 1:
                text = f"**{problem.number}{letters[part.name]}.** {question_text(part)}"
                cells.append(locked_text(grade_id(*place, "question"), text))
            source = (answers or {}).get(variable, blank_answer(variable))
            cells.append(answer_cell(grade_id(*place, "answer"), source))
            checks = practice_check_source(set_name, problem, part) if practice else check_source(variable, part, costs)
            cells.append(check_cell(grade_id(*place, "check"), checks, _number(part.points)))
    ours: dict[str, Any] = {"set": set_name, "version": 1}
    if made_for is not None:
        ours |= {"made_for": made_for, "tag": tag}
    return {
        "cells": cells,
        "metadata": {"calclib": ours, "kernelspec": KERNEL, "language_info": {"name": "python"}},
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def notebook_bytes(notebook: Mapping[str, Any]) -> bytes:
    """Return a notebook as a file, laid out as Jupyter itself writes it."""
    cells = [{**cell, "source": cell["source"].splitlines(keepends=True)} for cell in notebook["cells"]]
    text = json.dumps({**notebook, "cells": cells}, ensure_ascii=False, indent=1, sort_keys=True)
    return f"{text}\n".encode()


def prints_rules(path: Path, title: str, rules: Sequence[str]) -> bool:
    """Tell whether a notebook that was written for the formgrader is there and prints these rules and no others.

    Args:
        path: The notebook.
        title: Title of the set.
        rules: The rules that can cost marks, a sentence each.
    """
    try:
        head = json.loads(path.read_bytes())["cells"][0]["source"]
        return "".join(head) == _intro(title, rules, practice=False)
    except (OSError, ValueError, LookupError, TypeError):
        return False


def holds_tag(path: Path, tags: Iterable[str]) -> bool:
    """Tell whether a notebook that was written to be handed out is there and carries one of some tags."""
    if not path.is_file():
        return False
    data = path.read_bytes()
    return any(tag.encode() in data for tag in tags)


def checksums(notebook: Mapping[str, Any]) -> dict[str, str]:
    """Return nbgrader's checksum of each cell of a rendered notebook, by grade id."""
    metas = (cell["metadata"]["nbgrader"] for cell in notebook["cells"])
    return {meta["grade_id"]: meta["checksum"] for meta in metas}


def picture_texts(pictures: tuple[Paper | Drawing, ...]) -> Iterator[str]:
    """Yield drawings inside of the text: JupyterLab keeps their alternative text, and nothing else is to be loaded."""
    if pictures:
        from calclib.plots import picture_html

        yield from (picture_html(picture) for picture in pictures)


def _number(points: Fraction) -> float:
    return int(points) if points.denominator == 1 else float(points)


def _intro(title: str, rules: Sequence[str], *, practice: bool) -> str:
    checks = fact("handing_out.checks_judge" if practice else "handing_out.checks_read")
    how = said("handing_out.how_to_answer", checks=checks)
    lines = [f"# {plain_markdown(title)}", how, said("handing_out.caution")]
    if rules:
        lines += [
            f"**{said('handing_out.how_it_is_marked')}**",
            "\n".join(f"- {plain_markdown(rule)}" for rule in rules),
        ]
    return "\n\n".join(lines)


def question_text(part: PartText) -> str:
    """Return a question with its rule and its choices, as Markdown."""
    lines = [f"**{plain_markdown(part.asked.strip())}** {plain_markdown(part.rule.strip())}".strip()]
    if part.choices:
        lines += ["", said("handing_out.one_of_these"), ""]
        lines += [f"- {plain_markdown(choice)}" for choice in part.choices]
    return "\n".join(lines)
