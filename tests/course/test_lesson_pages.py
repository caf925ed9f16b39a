"""The lessons as files; that their cells run is checked by running them."""

from __future__ import annotations

import ast
import re

import pytest

from calclib.lessons import lesson, lesson_names
from calclib.models import bank
from calclib.quantity import rounding_policy
from tests.course.lesson_files import Page, pages

PAGES = pages()
SECTIONS = (
    "What you will be able to do",
    "On the ward",
    "Estimate first",
    "Worked example",
    "The same with a gap",
    "Two traps",
    "An order to question",
    "Practice",
    "Check",
    "Keep in mind",
    "Sources",
)
every_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path.stem)


def book_of(page: Page) -> str:
    """The name of a page's book."""
    return next(name for name in lesson_names() if lesson(name).number == page.number)


def test_each_book_has_its_page() -> None:
    """Pages and books are numbered alike, from 1 and without a gap."""
    assert [page.number for page in PAGES] == [lesson(name).number for name in lesson_names()]
    assert [page.number for page in PAGES] == list(range(1, len(PAGES) + 1))


@every_page
def test_outputs_and_counts_are_stripped(page: Page) -> None:
    """A lesson holds nothing that a run left behind, so that a stored page gives no answer away."""
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in page.of_kind("code"))


@every_page
def test_code_is_one_hidden_line(page: Page) -> None:
    """Each cell is named by hand, and a code cell is one line that is hidden and imports from a front door."""
    names = [cell["id"] for cell in page.cells]
    assert len(names) == len(set(names))
    assert all(re.fullmatch(r"[a-z-]{1,64}", name) for name in names)
    for cell in page.of_kind("code"):
        assert cell["metadata"] == {"jupyter": {"source_hidden": True}}
        assert len(cell["source"]) == 1
        assert re.match(r"from calclib\.\w+ import (\w+); \1\(", cell["source"][0])


@every_page
def test_prose_is_written_in_safe_notation(page: Page) -> None:
    """No trailing zero, no bare decimal point, no micro sign, commas from 1,000 up; what is shown as wrong excepted."""
    shown_as_wrong = ("| .5 mg |", "| 5.0 mg |", "| 1200 mg |")
    prose = page.prose
    for wrong in shown_as_wrong:
        prose = prose.replace(wrong, "")
    clock = r"(?:[01]\d|2[0-4])[0-5]\d"
    prose = re.sub(rf"\b{clock}\b(?! m)", "", prose)
    assert not re.search(r"\d\.0\b|(?<![\d\w])\.\d|\u00b5|\u03bc|\b\d{4,}\b", prose)


@every_page
def test_a_lesson_has_its_sections(page: Page) -> None:
    """What every lesson has, in this order, and a first cell that says how to start it."""
    headings = [line[3:] for line in page.prose.split("\n") if line.startswith("## ")]
    places = [
        next(i for i, heading in enumerate(headings) if section.lower() in heading.lower()) for section in SECTIONS[:3]
    ]
    assert places == sorted(places)
    assert [s for s in SECTIONS if not any(s.lower() in heading.lower() for heading in headings)] == []
    assert "Run All Cells" in "".join(page.cells[0]["source"])
    assert "For learning only" in "".join(page.cells[0]["source"])


@every_page
def test_boards_lose_their_numbers_step_by_step(page: Page) -> None:
    """A whole example, then one gap, then two, then an empty board."""
    gaps = [
        ast.literal_eval(keyword.value)
        for call in page.calls("worked_example")
        for keyword in call.keywords
        if keyword.arg == "gaps"
    ]
    first = [gaps.index(wanted) for wanted in (0, 1, 2, "all")]
    assert first == sorted(first)


@every_page
def test_the_page_asks_every_question_of_its_book_once(page: Page) -> None:
    """No question is left unasked, and none comes from another lesson's book."""
    asked = [tuple(ast.literal_eval(one) for one in call.args) for call in page.calls("question")]
    name = book_of(page)
    assert sorted(asked) == sorted((name, question) for question in lesson(name).questions)


@every_page
def test_nothing_is_practiced_that_was_not_taught(page: Page) -> None:
    """A kind in a practice box, on a board or in a question is taught in this lesson or an earlier one."""
    taught = {model for name in lesson_names() if lesson(name).number <= page.number for model in lesson(name).teaches}
    own, mixed = page.practiced()
    boards = [ast.literal_eval(call.args[0]) for call in page.calls("worked_example")]
    assert set(own) | set(mixed) | set(boards) <= taught
    assert taught <= set(bank())
    assert own, "a lesson has a practice box"


@every_page
def test_a_kind_is_taught_before_it_is_practiced(page: Page) -> None:
    """A lesson's own kinds are shown on a board or asked in a question of this lesson, above the practice."""
    of_page = lesson(book_of(page))
    boards = {ast.literal_eval(call.args[0]) for call in page.calls("worked_example")}
    asked = {question.problem.model for question in of_page.questions.values() if question.problem}
    own, _ = page.practiced()
    missing = set(own) - boards - asked
    assert missing <= READ_ALIKE.get(page.number, set())


# Kinds whose skill is another's, turned around or with other units, so that its board serves both.
READ_ALIKE = {1: {"milliliters-to-liters"}}


@every_page
def test_earlier_kinds_are_mixed_in_from_the_third_lesson_on(page: Page) -> None:
    """Practice brings back kinds that only earlier lessons teach."""
    earlier = {model for name in lesson_names() if lesson(name).number < page.number for model in lesson(name).teaches}
    _, mixed = page.practiced()
    assert page.number < 3 or len(set(mixed) & earlier) >= 3


@every_page
def test_the_rule_of_mastery_is_stated(page: Page) -> None:
    """Unaided, more than once, on more than one day."""
    assert "When you have it" in page.prose
    assert "without a hint" in page.prose
    assert "two different days" in page.prose


@every_page
def test_orders_of_the_text_are_on_the_page(page: Page) -> None:
    """An order that is held against the formulary stands in the lesson or in one of its questions."""
    of_page = lesson(book_of(page))
    questions = " ".join(" ".join(question.ask) for question in of_page.questions.values())
    text = re.sub(r"[\s|]+", " ", page.prose + questions).lower()
    assert [order.text for order in of_page.orders if order.text.lower() not in text] == []


def test_the_policy_of_the_lessons_is_the_default() -> None:
    """Boards and questions round by the policy from which courses start, which the text of lesson 3 names."""
    assert rounding_policy().rule("tablets").text("tab").startswith("Round to the nearest half tablet")
