"""The prose of a lesson as HTML: Markdown in which every tag is text."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any

import mistune
from mistune.plugins.table import table

from calclib.lessons.course_pages import START
from calclib.wording import said

CONTENTS = "index"
NOTEBOOK = ".ipynb"

Section = tuple[str, str]
"""Where on a page a section begins, and its heading as HTML."""


class _Renderer(mistune.HTMLRenderer):
    """HTML with a place for each section, links that lead to pages, and tables that a keyboard can scroll."""

    def __init__(self, names: Collection[str]) -> None:
        super().__init__(escape=True)
        self.names, self.sections = names, list[Section]()

    def heading(self, text: str, level: int, **attrs: Any) -> str:
        """Return a heading; one of the second rank can be led to."""
        if level != 2:
            return super().heading(text, level, **attrs)
        place = re.sub(r"[^a-z0-9]+", "-", re.sub(r"<[^>]*>|&\w+;", "", text).lower()).strip("-")
        self.sections.append((place, text))
        return super().heading(text, level, id=place)

    def link(self, text: str, url: str, title: str | None = None) -> str:
        """Return a link; one to a notebook of the course leads to its page."""
        name = url.removesuffix(NOTEBOOK)
        return super().link(text, page_of(name) if name in self.names else url, title)


def shown_prose(text: str, names: Collection[str]) -> tuple[str, tuple[Section, ...]]:
    """Return prose as HTML, and its sections.

    Args:
        text: Markdown.
        names: The pages of the course, by the names of their notebooks.
    """
    renderer = _Renderer(names)
    markdown = mistune.Markdown(renderer, plugins=[table])
    renderer.register("table", _table)
    return str(markdown(text)), tuple(renderer.sections)


def page_of(name: str) -> str:
    """Return the file of a notebook's page: the start page is the contents."""
    return f"{CONTENTS if name == START else name}.html"


def _table(_: object, text: str) -> str:
    region = f'<div class="wide" role="region" aria-label="{said("book.table")}" tabindex="0">'
    return f"{region}<table>{text}</table></div>\n"
