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
    """Each cell is named by hand; a code cell is hidden: what stands there in words, then one line."""
    names = [cell["id"] for cell in page.cells]
    assert len(names) == len(set(names))
    assert all(re.fullmatch(r"[a-z-]{1,64}", name) for name in names)
    for cell in page.of_kind("code"):
        assert cell["metadata"] == {"jupyter": {"source_hidden": True}}
        words, line = cell["source"]
        assert re.fullmatch(r"# [A-Z][^_()]+[:,] .*Run All Cells.*\.\n", words)
        if cell["id"] != "needs-calclib":
            assert re.match(r"from calclib\.\w+ import (\w+); \1\(", line)


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
def test_a_time_does_not_begin_a_list(page: Page) -> None:
    """A line that begins with a time and a period would be shown as an item of a list, its number cut off."""
    assert re.findall(r"^ {0,3}\d{3,}[.)] .*", page.prose, re.MULTILINE) == []


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
    problems = [question.problem for question in lesson(book_of(page)).questions.values()]
    asked = {problem.model for problem in problems if problem is not None}
    assert set(own) | set(mixed) | set(boards) | asked <= taught
    assert taught <= set(bank())
    assert own, "a lesson has a practice box"


@every_page
def test_a_kind_is_taught_before_it_is_practiced(page: Page) -> None:
    """A lesson's own kinds are shown on a board or asked in a question of this lesson, above the practice."""
    of_page = lesson(book_of(page))
    boards = {ast.literal_eval(call.args[0]) for call in page.calls("worked_example")}
    asked = {question.problem.model for question in of_page.questions.values() if question.problem}
    own, _ = page.practiced()
    assert set(own) - boards - asked == set()


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


def _asks(cell: dict[str, object]) -> bool:
    """Whether a cell asks for something: a question, a board with gaps, practice, a thing to do."""
    code = "".join(cell["source"])  # type: ignore[arg-type]
    whole = "worked_example(" in code and "gaps=0" in code
    return cell["cell_type"] == "code" and bool(re.search(ASKING, code)) and not whole


ASKING = r"(question|worked_example|practice_box|hang_two_bags|infusion_explorer|infusion_form)\("
ONLY_READ = {"What you will be able to do", "On the ward", "Words you will meet", "The words", "The steps, in order"}
ONLY_READ |= {"Keep in mind", "Sources", "Worked example", "Worked example: what to enter", "Worked example: the rate"}
HARM = r"heart|breath|seizure|blood pressure|blood sugar|liver|infection|brain"


def sections(page: Page) -> list[tuple[str, list[dict[str, object]]]]:
    """The sections of a page, each with the cells that follow its heading."""
    found: list[tuple[str, list[dict[str, object]]]] = []
    for cell in page.cells:
        heading = next((line[3:].strip() for line in cell["source"] if line.startswith("## ")), None)
        if cell["cell_type"] == "markdown" and heading:
            found.append((heading, []))
        if found:
            found[-1][1].append(cell)
    return found


@every_page
def test_every_section_asks_something(page: Page) -> None:
    """A checked answer is asked for in each section, but for those that only say what is to come or what was said."""
    assert [name for name, cells in sections(page) if name not in ONLY_READ and not any(map(_asks, cells))] == []


@every_page
def test_a_whole_board_comes_after_a_question(page: Page) -> None:
    """Before a worked example is shown, the reader has answered something about it: estimate first, then look."""
    asked = False
    for _, cells in sections(page):
        for cell in cells:
            asked = asked or _asks(cell)
            if "gaps=0" in "".join(cell["source"]):  # type: ignore[arg-type]
                assert asked, cell["id"]
                asked = False


@every_page
def test_the_estimate_comes_before_the_worked_example(page: Page) -> None:
    """Situation, estimate, worked example, gaps, in this order."""
    names = [name.lower() for name, _ in sections(page)]
    wanted = ("on the ward", "estimate first", "worked example", "the same with a gap")
    places = [next(i for i, name in enumerate(names) if part in name) for part in wanted]
    assert places == sorted(places)


@every_page
def test_two_traps_say_what_they_do_to_the_patient(page: Page) -> None:
    """Two mistakes, numbered, each with the harm that it can do."""
    questions = lesson(book_of(page)).questions
    traps = [question for name, question in questions.items() if name.startswith("trap-")]
    assert [question.ask[0][:7] for question in traps] == ["Trap 1.", "Trap 2."]
    assert [trap.name for trap in traps if not re.search(HARM, " ".join(trap.explains))] == []


@every_page
def test_one_cast_comes_back(page: Page) -> None:
    """Who is met in the first lesson is met on the ward of each other, and nobody else is named anywhere."""
    cast, ward = met_on(ward_of(PAGES[0])), ward_of(page)
    assert {"Webb", "Duarte", "Chau", "Tyler", "Leo", "Boone", "Okafor", "Petrov"} == cast
    questions = lesson(book_of(page)).questions.values()
    asked = "\n".join(part for question in questions for part in (*question.ask, *question.explains))
    assert met_on(ward)
    assert met_on(ward) | met_on(page.prose) | met_on(asked) <= cast


def ward_of(page: Page) -> str:
    """What a page tells of the ward."""
    ward = next(cells for name, cells in sections(page) if name == "On the ward")
    return "".join("".join(cell["source"]) + "\n" for cell in ward if cell["cell_type"] == "markdown")  # type: ignore[arg-type]


def met_on(text: str) -> set[str]:
    """The names of people: after a title, before an age, and before the order of a list or a table."""
    title, name = r"(?:Mr|Mrs|Ms|Dr)\. ", r"[A-Z][a-z]+"
    titled = re.findall(rf"\b{title}({name})", text)
    aged = re.findall(rf"\b({name}(?: {name})?)(?:\*\*)?, \d{{1,2}}(?:, | years|\.)", re.sub(title, "", text))
    ordered = re.findall(rf"^(?:- |\| )({name})(?:: | \| [a-z0-9])", text, re.MULTILINE)
    return {word for found in (*titled, *aged, *ordered) for word in found.split()}


@every_page
def test_a_lesson_fits_an_evening(page: Page) -> None:
    """It says how long it takes: 20 to 40 minutes."""
    (minutes,) = re.findall(r"This lesson takes about (\d+) minutes", page.prose)
    assert 20 <= int(minutes) <= 40


@every_page
def test_the_check_has_questions_of_its_own(page: Page) -> None:
    """At least three, and practice stands before it."""
    names = [name for name, _ in sections(page)]
    check = dict(sections(page))["Check"]
    assert sum(map(_asks, check)) >= 3
    assert names.index("Practice") < names.index("Check")
