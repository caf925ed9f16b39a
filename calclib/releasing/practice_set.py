"""Open practice sets: the same numbers for everybody, as source notebooks and as nbgrader releases them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from calclib.class_files.blueprint import Blueprint, blueprint_from_text
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.names import visible
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.config_file import practice_config
from calclib.gradebook.generated_release import generated_release
from calclib.gradebook.notebook import notebook_bytes, problem_of, render_notebook
from calclib.releasing.seal import example
from calclib.releasing.slots import slot_of
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.items import Item

_SOLUTION = '{variable} = ""\n### BEGIN SOLUTION\n{variable} = "{answer}"\n### END SOLUTION'


@cache
def practice_sets() -> Mapping[str, Blueprint]:
    """Return the blueprints of the practice sets, by name."""
    catalogue = whole_catalogue()
    folder = files("calclib.releasing").joinpath("practice")
    found = [
        blueprint_from_text(file.read_text(encoding="utf-8"), catalogue, where=file.name)
        for file in sorted(folder.iterdir(), key=lambda file: file.name)
        if file.name.endswith(".toml")
    ]
    return {blueprint.set: blueprint for blueprint in found}


@cache
def practice_items(set_name: str) -> tuple[Item, ...]:
    """Return the items of a practice set.

    Raises:
        BadInput: there is no practice set of that name.
    """
    sets = practice_sets()
    if set_name not in sets:
        raise BadInput(fact("errors_releasing.no_practice_set", name=visible(set_name), known=tuple(sets)))
    order = sets[set_name]
    names = [line.name for line in order.lines for _ in range(line.count)]
    return tuple(example(name, order.rounding, f"{set_name}/{n}") for n, name in enumerate(names, start=1))


def source_notebook(set_name: str) -> bytes:
    """Return the source notebook of a practice set: with its answers; its check cells judge."""
    from calclib.models import item_model

    items = practice_items(set_name)
    order = practice_sets()[set_name]
    slots = [
        slot_of(item, number=n, title=item_model(item.model_id).title, points=None)
        for n, item in enumerate(items, start=1)
    ]
    problems = tuple(
        problem_of(item, number=slot.number, title=slot.title, points=slot.points)
        for item, slot in zip(items, slots, strict=True)
    )
    parts = [part for item in items for part in item.parts]
    answers = {
        f"answer_{n}": _SOLUTION.format(variable=f"answer_{n}", answer=part.answer)
        for n, part in enumerate(parts, start=1)
    }
    return notebook_bytes(
        render_notebook(set_name=set_name, title=order.title, problems=problems, answers=answers, practice=True)
    )


def write_sources(root: Path) -> tuple[Path, ...]:
    """Write the source notebook of every practice set below `root / "solutions"`, with nbgrader's configuration.

    Returns:
        The notebooks.
    """
    replace_file(root / "nbgrader_config.py", practice_config().encode())
    paths = []
    for name in practice_sets():
        path = root / "solutions" / name / f"{name}.ipynb"
        replace_file(path, source_notebook(name))
        paths.append(path)
    return tuple(paths)


def write_release(root: Path) -> tuple[Path, ...]:
    """Make `exercises/` below `root` from `solutions/` as `nbgrader generate_assignment` does.

    The gradebook of that run is thrown away: a class that gives a practice set for marks has its own.

    Returns:
        The notebooks.

    Raises:
        CalclibError: nbgrader refuses a source notebook.
    """
    paths = []
    for source in sorted((root / "solutions").glob("*/*.ipynb")):
        path = root / "exercises" / source.parent.name / source.name
        replace_file(path, generated_release(source))
        paths.append(path)
    return tuple(paths)
