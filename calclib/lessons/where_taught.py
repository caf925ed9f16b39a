"""Where in the lessons a skill and a mistake are taught; `where_taught.toml` is the table."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from calclib.lessons.reader import lesson


@dataclass(frozen=True)
class Section:
    """A section of a lesson.

    Attributes:
        lesson: The lesson's name.
        number: Its place in the order of learning, from 1.
        title: Its title.
        file: Its page in `course/`.
        cell: The id of the cell with which the section begins.
        heading: The section's heading.
    """

    lesson: str
    number: int
    title: str
    file: str
    cell: str
    heading: str


@dataclass(frozen=True)
class Taught:
    """Where a skill is taught.

    Attributes:
        read: The section that explains it.
        example: The section with a worked example.
        exact: Whether a lesson teaches this very skill; False where these sections only come nearest.
    """

    read: Section
    example: Section
    exact: bool


def where_taught(model_id: str, topic: str) -> Taught | None:
    """Return where the skill of an item model is taught, None for a topic that the table doesn't hold.

    Args:
        model_id: The item model.
        topic: Its topic.
    """
    table = _table()
    row = table["item"].get(model_id) or table["topic"].get(topic)
    if row is None:
        return None
    exact = any(model_id in lesson(name).teaches for name in table["lesson"])
    return Taught(_section(row["read"]), _section(row["example"]), exact)


def where_mistake_taught(fault: str, taught: Taught) -> Section:
    """Return where a kind of mistake is taught, of an older version's kind where the skill is.

    Args:
        fault: The kind of mistake.
        taught: Where the skill is taught in which it was made.
    """
    row = _table()["mistake"].get(fault.replace(" ", "_"))
    return taught.read if row is None else _section(row.get(taught.read.lesson, row["read"]))


def sections() -> tuple[Section, ...]:
    """Return every section that the table names."""
    table = _table()
    return tuple(_section(f"{name}#{cell}") for name, row in table["lesson"].items() for cell in row["sections"])


def example_sections() -> tuple[Section, ...]:
    """Return the sections that the table names for their worked example."""
    table = _table()
    named = {row["example"] for kind in ("topic", "item") for row in table[kind].values()}
    return tuple(map(_section, sorted(named)))


def mistakes_in_table() -> frozenset[str]:
    """Return the kinds of mistakes that the table holds, their blanks as `_`."""
    return frozenset(_table()["mistake"])


@cache
def _section(place: str) -> Section:
    name, _, cell = place.partition("#")
    row, book = _table()["lesson"][name], lesson(name)
    return Section(name, book.number, book.title, row["file"], cell, row["sections"][cell])


@cache
def _table() -> Mapping[str, Any]:
    file = resources.files("calclib.lessons").joinpath("where_taught.toml")
    return tomllib.loads(file.read_text("utf-8"))
