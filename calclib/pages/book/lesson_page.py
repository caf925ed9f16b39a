"""One page of the book: prose, and in the place of each control what of it can stand on paper."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from inspect import signature
from typing import Any

from calclib.errors.messages import BadInput
from calclib.lessons import lesson
from calclib.lessons.boards import Board
from calclib.lessons.citations import cited_by, cited_volumes
from calclib.lessons.course_pages import Control, CoursePage, Prose
from calclib.pages.book.asked import shown_problem, shown_question
from calclib.pages.book.boards import shown_board
from calclib.pages.book.prose import shown_prose
from calclib.timeline import priming_amounts, priming_steps
from calclib.wording import Fact, fact, said, sentence

Block = dict[str, Any]
NUMBERED = ("question", "board", "problem")


def blocks_of(of_page: CoursePage, names: Collection[str]) -> tuple[list[Block], list[tuple[str, str]]]:
    """Return what stands on a page, from its top, and its sections.

    Args:
        of_page: A page of the course.
        names: The pages of the course, which links may lead to.

    Raises:
        BadInput: The page shows what has no place in the book, or what there is not.
    """
    blocks: list[Block] = []
    sections: list[tuple[str, str]] = []
    counts = dict.fromkeys(NUMBERED, 0)
    for piece in of_page.pieces:
        if isinstance(piece, Prose):
            html, found = shown_prose(piece.text, names)
            sections += found
            blocks.append({"kind": "prose", "html": html})
            continue
        for block in _blocks(piece, of_page):
            if block["kind"] in counts:
                counts[block["kind"]] += 1
                block["number"] = counts[block["kind"]]
            blocks.append(block)
    return blocks, sections


def _blocks(control: Control, of_page: CoursePage) -> Iterator[Block]:
    if control.name not in _SHOWN:
        raise BadInput(fact("errors_pages.unknown_control", name=control.name), where=of_page.file.name)
    show = _SHOWN[control.name]
    try:
        call = signature(show).bind(*control.given, **control.named)
    except TypeError:
        raise BadInput(fact("errors_pages.control_called", name=control.name), where=of_page.file.name) from None
    return show(*call.args, **call.kwargs)


def _question(of_lesson: str, name: str) -> Iterator[Block]:
    found = lesson(of_lesson)
    yield shown_question(found, found.question(name))


def _board(model_id: str, *, gaps: Any = 0, method: str = "", **given: str) -> Iterator[Block]:
    yield shown_board(Board(model_id, given, gaps))


def _practice(item_ids: str | tuple[str, ...], seed: str = "", mixed: tuple[str, ...] = ()) -> Iterator[Block]:
    """One problem of each kind of its own; those that are mixed in stand in their own lessons."""
    kinds = (item_ids,) if isinstance(item_ids, str) else item_ids
    yield {"kind": "note", "says": said("book.practice")}
    yield from (shown_problem(kind, f"book {kind}") for kind in kinds)


def _sources(name: str) -> Iterator[Block]:
    yield {"kind": "list", "lines": cited_by(name)}


def _volumes() -> Iterator[Block]:
    yield {"kind": "list", "lines": cited_volumes()}


def _two_bags() -> Iterator[Block]:
    amounts = priming_amounts()
    about = said("hanging.about", volume=amounts["volume"], drug=amounts["drug"], tubing=amounts["tubing"])
    yield {"kind": "steps", "about": about, "steps": priming_steps()}


def _only_running(note: Fact) -> Callable[..., Iterator[Block]]:
    def shown(*_: Any, **__: Any) -> Iterator[Block]:
        yield {"kind": "note", "says": sentence(note)}

    return shown


_SHOWN: Mapping[str, Callable[..., Iterator[Block]]] = {
    "question": _question,
    "worked_example": _board,
    "practice_box": _practice,
    "lesson_sources": _sources,
    "published_volumes": _volumes,
    "hang_two_bags": _two_bags,
    "infusion_explorer": _only_running(fact("book.no_sliders")),
    "infusion_form": _only_running(fact("book.no_form")),
    "set_clamp": _only_running(fact("book.no_clamp")),
    "count_drops": _only_running(fact("book.no_chamber")),
    "draw_up": _only_running(fact("book.no_syringe")),
    "choose_syringe": _only_running(fact("book.no_syringe")),
    "read_level": _only_running(fact("book.no_scale")),
    "time_strip": _only_running(fact("book.no_strip")),
    "todays_practice": _only_running(fact("book.no_today")),
    "exam_day": _only_running(fact("book.no_today")),
}
"""What stands in the place of each control of a lesson."""
