"""The boards of the lessons, as a hand would copy them."""

from __future__ import annotations

import ast
from typing import Any

import pytest

from calclib.lessons.boards import METHOD_NAMES, Board
from tests.course.lesson_files import Page, pages

PAGES = pages()
every_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path.stem)


def boards(page: Page) -> list[Board]:
    """The boards of a page, from its calls."""
    found = []
    for call in page.calls("worked_example"):
        given = {word.arg: ast.literal_eval(word.value) for word in call.keywords if word.arg not in ("gaps", "method")}
        gaps = next((ast.literal_eval(word.value) for word in call.keywords if word.arg == "gaps"), 0)
        found.append(Board(ast.literal_eval(call.args[0]), given, gaps))  # type: ignore[arg-type]
    return found


def numbers(pieces: Any) -> list[str]:
    """Every number and every word of a line."""
    if isinstance(pieces, dict):
        own = [str(pieces[key]) for key in ("number", "words") if pieces.get(key)]
        return own + [number for value in pieces.values() for number in numbers(value)]
    if isinstance(pieces, list | tuple):
        return [number for piece in pieces for number in numbers(piece)]
    return []


@every_page
def test_a_whole_board_is_the_same_each_time(page: Page) -> None:
    """Its numbers are chosen, not drawn, so that what stands around it fits; and it is one that a hand can finish."""
    for call in page.calls("worked_example"):
        assert {word.arg for word in call.keywords} - {"gaps", "method"}, ast.unparse(call)


@every_page
@pytest.mark.parametrize("method", sorted(METHOD_NAMES))
def test_arithmetic_on_a_board_comes_out_exactly(page: Page, method: str) -> None:
    """No line of a board is “about” something: a hand that copies it gets the number that stands there."""
    for board in boards(page):
        shown = [
            number
            for part in board.parts(method, filled=True)
            for line in part.lines
            for number in numbers(line.pieces)
        ]
        assert not [number for number in shown if "about" in number], (board.item.stem, shown)


@every_page
@pytest.mark.parametrize("method", sorted(METHOD_NAMES))
def test_a_board_with_gaps_does_not_show_its_answer(page: Page, method: str) -> None:
    """Where the answer is asked, no line of its part holds it, unless the problem itself states the same number."""
    for board in boards(page):
        if board.gaps not in (1, 2):
            continue
        part, asked = board.parts(method)[-1], board.asked[-1]
        number = asked.answer.split(" ")[0]
        said = [one for line in part.lines for one in numbers(line.pieces)]
        told = [one for one in said if number in one.split() or asked.answer in one]
        assert not told or number in board.item.stem.split(), (board.item.stem, method, told)


@every_page
def test_a_board_names_its_drug(page: Page) -> None:
    """Its numbers fit a drug of the bank, so that problem and papers don't speak of “the ordered medicine”."""
    shown = [f"{board.item.stem} {board.item.papers}" for board in boards(page)]
    assert [text for text in shown if "the ordered medicine" in text] == []


def test_a_time_of_day_is_not_rounded() -> None:
    """Beside a time on the clock stands how it is written, and the line that would tell it is left out of a gap."""
    given = {"bag": "50 mL", "rate": "130 mL/h", "start": "1610"}
    *_, resumes = Board("primary-resumes", given).parts("factors")
    assert "four digits" in resumes.lines[-1].why
    assert "1640" not in str(Board("primary-resumes", given, 1).parts("factors")[-1].lines)
