"""The laws of lesson pages notice a lesson that lacks something."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest

from tests.course import test_lesson_pages as laws
from tests.course.lesson_files import Page, pages

LESSON = next(page for page in pages() if page.number == 3)
Law = Callable[[Page], None]


def without(*names: str) -> Page:
    """The lesson without some of its cells."""
    return dataclasses.replace(LESSON, cells=tuple(cell for cell in LESSON.cells if cell["id"] not in names))


def other(said: str, instead: str) -> Page:
    """The lesson with other words in the place of some."""
    cells = tuple({**cell, "source": [line.replace(said, instead) for line in cell["source"]]} for cell in LESSON.cells)
    assert cells != LESSON.cells, said
    return dataclasses.replace(LESSON, cells=cells)


def moved(name: str, before: str) -> Page:
    """The lesson with a cell in another place."""
    cells = [cell for cell in LESSON.cells if cell["id"] != name]
    place = next(at for at, cell in enumerate(cells) if cell["id"] == before)
    cells.insert(place, next(cell for cell in LESSON.cells if cell["id"] == name))
    return dataclasses.replace(LESSON, cells=tuple(cells))


def in_sight() -> Page:
    """The lesson with its code in sight."""
    return dataclasses.replace(LESSON, cells=tuple({**cell, "metadata": {}} for cell in LESSON.cells))


MIXED = '"metric-to-milligrams", "amount-in-volume", "read-syringe", "metric-to-micrograms", "twenty-four-hour-clock"'
BROKEN: dict[str, tuple[Page, Law]] = {
    "no objectives": (without("goals"), laws.test_a_lesson_has_its_sections),
    "no traps": (without("traps"), laws.test_a_lesson_has_its_sections),
    "no order to question": (without("order-to-question"), laws.test_a_lesson_has_its_sections),
    "no cautions": (without("cautions"), laws.test_a_lesson_has_its_sections),
    "no sources": (without("sources"), laws.test_a_lesson_has_its_sections),
    "two gaps before one": (moved("two-gaps-board", "gap-board"), laws.test_boards_lose_their_numbers_step_by_step),
    "no empty board": (other('gaps="all"', "gaps=2"), laws.test_boards_lose_their_numbers_step_by_step),
    "estimate after the board": (moved("board", "estimate"), laws.test_the_estimate_comes_before_the_worked_example),
    "a section that asks nothing": (without("ask-halves", "ask-capsules"), laws.test_every_section_asks_something),
    "a board that nobody predicted": (
        without("ask-strength-upside", "ask-more-or-less"),
        laws.test_a_whole_board_comes_after_a_question,
    ),
    "one kind alone": (other(MIXED, ""), laws.test_earlier_kinds_are_mixed_in_from_the_third_lesson_on),
    "a kind not taught": (
        other('mixed=["metric-to-milligrams"', 'mixed=["heparin-start"'),
        laws.test_nothing_is_practiced_that_was_not_taught,
    ),
    "no rule of mastery": (other("two different days", "a day"), laws.test_the_rule_of_mastery_is_stated),
    "somebody else on the ward": (other("| Mr. Webb | met", "| Mr. Smith | met"), laws.test_one_cast_comes_back),
    "a patient without a title": (other("| Tyler | acet", "| Jason | acet"), laws.test_one_cast_comes_back),
    "too long": (other("about 35 minutes", "about 55 minutes"), laws.test_a_lesson_fits_an_evening),
    "a short check": (without("ask-check-liquid"), laws.test_the_check_has_questions_of_its_own),
    "a question that is never asked": (
        without("ask-halves"),
        laws.test_the_page_asks_every_question_of_its_book_once,
    ),
    "a time that begins a list": (
        other("0800, the morning", "0800. The morning"),
        laws.test_a_time_does_not_begin_a_list,
    ),
    "a bare point": (other("1 g by mouth", ".5 g by mouth"), laws.test_prose_is_written_in_safe_notation),
    "code in sight": (in_sight(), laws.test_code_is_one_hidden_line),
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_broken_lesson_is_noticed(what: str) -> None:
    """Whatever is taken out of a lesson, moved or said otherwise, the law about it fails."""
    page, law = BROKEN[what]
    law(LESSON)
    with pytest.raises((AssertionError, LookupError, StopIteration, ValueError)):
        law(page)
