"""The notebooks of a course as data: their prose, and what each hidden line shows. No line is run."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from calclib.errors.messages import BadInput
from calclib.wording.facts import fact

START = "start"
WHEN_RUNNING = "when-running"
"""The tag of prose that only speaks to whoever runs the page; the lines below it belong to it."""
FIRST_LINE = "needs-calclib"
"""The cell that makes a page ready to run; it shows nothing."""
_LINE = re.compile(r"from calclib\.widgets import (?P<name>\w+); (?P=name)\((?P<given>.*)\)")
_NAME = re.compile(r"(?P<name>\w+)=")
_COMMA = re.compile(r", ")


@dataclass(frozen=True)
class Prose:
    """Text between what is shown.

    Args:
        text: Markdown.
    """

    text: str


@dataclass(frozen=True)
class Control:
    """What a hidden line shows.

    Args:
        name: The function of `calclib.widgets` that it calls.
        given: What it is called with, in order.
        named: What it is called with by name.
    """

    name: str
    given: tuple[Any, ...]
    named: Mapping[str, Any]


@dataclass(frozen=True)
class CoursePage:
    """One notebook of a course.

    Args:
        file: Its file.
        title: Its first heading.
        pieces: What stands on it below its title, without what only speaks to whoever runs it.
    """

    file: Path
    title: str
    pieces: tuple[Prose | Control, ...]

    @property
    def name(self) -> str:
        """The name of its file without its ending."""
        return self.file.stem


def course_pages(folder: Path) -> tuple[CoursePage, ...]:
    """Return the notebooks of a course, by their names; the page named “start” first.

    Args:
        folder: Where they lie.

    Raises:
        BadInput: It holds no notebook, or one of them can't be read.
    """
    files = sorted(folder.glob("*.ipynb"), key=lambda file: (file.stem != START, file.name))
    if not files:
        raise BadInput(fact("errors_lessons.no_course", folder=str(folder)))
    return tuple(map(_page, files))


def _page(file: Path) -> CoursePage:
    try:
        cells = [(cell, "".join(cell["source"])) for cell in json.loads(file.read_text("utf-8"))["cells"]]
        first = cells[0][1].split("\n")[0]
        pieces = tuple(_pieces(cells, first))
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError):
        raise BadInput(fact("errors_lessons.no_page"), where=file.name) from None
    return CoursePage(file, first.lstrip("# "), pieces)


def _pieces(cells: list[tuple[dict[str, Any], str]], title: str) -> Iterator[Prose | Control]:
    left_out = False
    for cell, source in cells:
        if cell["cell_type"] == "markdown":
            left_out = WHEN_RUNNING in cell["metadata"].get("tags", ())
            text = source.removeprefix(title).strip()
            if text and not left_out:
                yield Prose(text)
        elif cell["cell_type"] == "code" and cell["id"] != FIRST_LINE and not left_out:
            yield from _controls(source)


def _controls(source: str) -> Iterator[Control]:
    lines = [line for line in source.splitlines() if line.strip() and not line.startswith("#")]
    for line in lines:
        found = _LINE.fullmatch(line)
        if found is None:
            raise ValueError
        given, named = _arguments(found["given"])
        yield Control(found["name"], given, MappingProxyType(named))


def _arguments(text: str) -> tuple[tuple[Any, ...], dict[str, Any]]:
    """Texts, numbers and lists of them, as JSON writes them too; some with a name before them."""
    given: list[Any] = []
    named: dict[str, Any] = {}
    at = 0
    while at < len(text):
        found = _NAME.match(text, at)
        value, at = json.JSONDecoder().raw_decode(text, found.end() if found else at)
        value = tuple(value) if isinstance(value, list) else value
        if found:
            named[found["name"]] = value
        else:
            given.append(value)
        if at < len(text):
            at = _COMMA.match(text, at).end()  # type: ignore[union-attr]  # the page is refused where there is none
    return tuple(given), named
