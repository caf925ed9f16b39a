"""The whole book in a folder: its contents and one page a lesson, for any browser and for paper."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.text_files import UNFINISHED, replace_file, sweep_unfinished
from calclib.errors.messages import BadInput
from calclib.lessons.course_pages import START, CoursePage, course_pages
from calclib.pages.book.lesson_page import Block, blocks_of
from calclib.pages.book.prose import CONTENTS, page_of
from calclib.pages.templating import page
from calclib.wording import fact, said

OURS = '<meta name="generator" content="calclib site">'
"""What a page of the book says of itself, so that a folder of somebody else's is never written over."""

Progress = Callable[[int, int, str], None]


def write_book(course: Path, folder: Path, progress: Progress | None = None) -> tuple[Path, ...]:
    """Write the book, and return its files, the contents first.

    Nothing is written before every page is made. Pages of an earlier book in the folder are replaced.

    Args:
        course: The folder of the lessons' notebooks.
        folder: Where the pages go; made if it isn't there.
        progress: Told the number done, the number in all and what is done (“stage: name”).

    Raises:
        BadInput: A lesson can't be read or shown, or the folder holds something else.
    """
    refuse_kept(folder)
    _refuse_what_is_not_ours(folder)
    pages = course_pages(course)
    names = frozenset(one.name for one in pages)
    lessons = [one for one in pages if one.name != START]
    made: dict[str, bytes] = {}
    contents: list[dict[str, Any]] = []
    for place, one in enumerate(lessons):
        if progress:
            progress(place, len(lessons), f"{said('book.writing')}: {one.title}")
        blocks, sections = blocks_of(one, names)
        contents.append({"href": page_of(one.name), "title": one.title, "sections": sections})
        made[page_of(one.name)] = _lesson(lessons, place, blocks, sections)
    start = [block for one in pages if one.name == START for block in blocks_of(one, names)[0]]
    about = {"title": said("book.title"), "ours": OURS, "blocks": start, "lessons": contents}
    pages_by_name = {f"{CONTENTS}.html": page("book_contents.html", about), **made}
    sweep_unfinished(folder)
    for name, data in pages_by_name.items():
        replace_file(folder / name, data)
    return tuple(folder / name for name in pages_by_name)


def _lesson(lessons: list[CoursePage], place: int, blocks: list[Block], sections: list[tuple[str, str]]) -> bytes:
    return page(
        "book_lesson.html",
        {
            "ours": OURS,
            "title": lessons[place].title,
            "blocks": blocks,
            "sections": sections,
            "before": _link(lessons[place - 1]) if place else None,
            "after": _link(lessons[place + 1]) if place + 1 < len(lessons) else None,
        },
    )


def _link(to: CoursePage) -> dict[str, str]:
    return {"href": page_of(to.name), "title": to.title}


def _refuse_what_is_not_ours(folder: Path) -> None:
    if folder.is_dir() and any(not path.name.startswith(UNFINISHED) for path in folder.iterdir()):
        contents = folder / f"{CONTENTS}.html"
        if not contents.is_file() or OURS.encode() not in contents.read_bytes():
            raise BadInput(fact("errors_pages.not_a_book", folder=str(folder)))
