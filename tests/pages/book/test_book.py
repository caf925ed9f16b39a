"""The book for reading: every lesson, question and example is there, answers are folded, nothing comes from outside."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import mistune
import pytest

from calclib import widgets
from calclib.errors import BadInput
from calclib.lessons import lesson, lesson_names
from calclib.lessons.boards import Board
from calclib.lessons.course_pages import Control, course_pages
from calclib.pages.book import write_book
from calclib.pages.book.lesson_page import _SHOWN
from tests.course.lesson_files import COURSE, Page, pages
from tests.pages.book.read_page import ReadPage

PAGES = pages()
every_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path.stem)
MEGABYTE = 1_000_000
LARGEST_FOLDER, LARGEST_PAGE = 4 * MEGABYTE, 1.2 * MEGABYTE


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole book, in a folder with blanks in its name."""
    folder = tmp_path_factory.mktemp("a memory stick") / "the book"
    write_book(COURSE, folder)
    return folder


@pytest.fixture(scope="module")
def read(book: Path) -> dict[str, ReadPage]:
    """Its pages by the names of the lessons' notebooks; the contents as “index”."""
    return {path.stem: ReadPage(path) for path in sorted(book.glob("*.html"))}


def plain(text: str) -> str:
    """Words as a page shows them, blanks aside."""
    return " ".join(text.split())


def shown(page: Page) -> list[Control]:
    """What the hidden lines of a lesson show."""
    of_page = next(one for one in course_pages(COURSE) if one.file == page.path)
    return [piece for piece in of_page.pieces if isinstance(piece, Control)]


def test_every_lesson_has_a_page(book: Path) -> None:
    """And nothing else lies in the folder; small enough for a slow line."""
    assert {path.name for path in book.iterdir()} == {"index.html", *(f"{page.path.stem}.html" for page in PAGES)}
    sizes = [path.stat().st_size for path in book.iterdir()]
    assert sum(sizes) < LARGEST_FOLDER
    assert max(sizes) < LARGEST_PAGE


@every_page
def test_every_question_is_asked_in_sight_and_answered_in_a_fold(page: Page, read: dict[str, ReadPage]) -> None:
    """What is asked stands on the page; each explanation, and why each choice is right or wrong, only in folds."""
    of_page = read[page.path.stem]
    for control in shown(page):
        if control.name != "question":
            continue
        question = lesson(control.given[0]).question(control.given[1])
        for asked in (*question.ask, *(one.says for one in question.choices)):
            assert plain(asked) in of_page.open_text, question.name
        for told in (*question.explains, *(one.why for one in question.choices)):
            assert plain(told) in of_page.folded_text, question.name
            assert len(told) < 40 or plain(told) not in of_page.open_text, question.name
    asked_of = [control for control in shown(page) if control.name == "question"]
    numbers = re.findall(r"Answer to question (\d+)", of_page.open_text)
    assert numbers == [str(number) for number in range(1, len(asked_of) + 1)]


@every_page
def test_every_answer_of_an_example_is_there(page: Page, read: dict[str, ReadPage]) -> None:
    """A board's problem and, filled in, each of its answers; where it has gaps, the filled board is folded."""
    of_page = read[page.path.stem]
    boards = [control for control in shown(page) if control.name == "worked_example"]
    for control in boards:
        given: dict[str, Any] = dict(control.named)
        gaps = given.pop("gaps", 0)
        board = Board(control.given[0], given, gaps)
        assert plain(board.item.stem) in of_page.open_text
        for part in board.asked:
            text = of_page.folded_text if gaps else of_page.open_text
            assert f"Answer: {plain(part.answer)}" in text.replace("Answer:", "Answer: ").replace("  ", " ")
    assert [int(n) for n in re.findall(r"Worked example (\d+) ", of_page.open_text)][:1] == [1]
    assert sum(tag == "h3" and "example-" in str(at.get("id")) for tag, at in of_page.tags) == len(boards)


@every_page
def test_each_kind_that_is_practiced_has_a_problem_with_its_solution(page: Page, read: dict[str, ReadPage]) -> None:
    """One of each kind of the lesson's own, numbered, its solution folded."""
    own, _ = page.practiced()
    of_page = read[page.path.stem]
    assert re.findall(r"Solution of problem (\d+)", of_page.open_text) == [str(n + 1) for n in range(len(own))]
    assert of_page.folded_text.count("Answer: ") >= len(own)


@every_page
def test_of_what_is_chosen_one_is_right(page: Page, read: dict[str, ReadPage]) -> None:
    """Each list of lettered choices has one right letter in the fold below it."""
    of_page = read[page.path.stem]
    lists = [attrs for tag, attrs in of_page.tags if tag == "ol" and attrs.get("type") == "A"]
    assert len(re.findall(r"\b[A-Z] is right\.", of_page.folded_text)) == len(lists) > 0


@every_page
def test_all_prose_is_there_but_what_speaks_of_running(page: Page, read: dict[str, ReadPage], tmp_path: Path) -> None:
    """Every cell of text, word for word; no page tells its reader to press a key or open a menu."""
    of_page = read[page.path.stem]
    for cell in page.of_kind("markdown"):
        if "when-running" in cell["metadata"].get("tags", ()):
            continue
        html = tmp_path / "cell.html"
        html.write_text(str(mistune.create_markdown(plugins=["table"])("".join(cell["source"]))), "utf-8")
        assert ReadPage(html).open_text in of_page.open_text, cell["id"]
    everything = of_page.open_text + of_page.folded_text
    assert not re.search(r"F8|Run All Cells|Run menu", everything)


def test_every_question_of_a_book_is_on_a_page() -> None:
    """The pages name them all, so that what is looked for above is everything."""
    named = {(c.given[0], c.given[1]) for page in PAGES for c in shown(page) if c.name == "question"}
    assert named == {(name, question) for name in lesson_names() for question in lesson(name).questions}


def test_links_lead_somewhere(read: dict[str, ReadPage]) -> None:
    """To a page of the folder, and to a place that it has once; contents, next and previous visit every lesson."""
    for name, page in read.items():
        assert len(set(page.ids())) == len(page.ids()), name
        for link in page.links():
            file, _, place = link.partition("#")
            to = read[file.removesuffix(".html")] if file else page
            assert not place or place in to.ids(), (name, link)
    lessons = [f"{page.path.stem}.html" for page in PAGES]
    assert list(dict.fromkeys(link.partition("#")[0] for link in read["index"].links() if link[0] != "#")) == lessons
    for way, order in (("next", lessons), ("prev", lessons[::-1])):
        walked = [order[0]]
        while onward := [
            str(at["href"]) for _, at in read[walked[-1].removesuffix(".html")].tags if at.get("rel") == way
        ]:
            walked.append(onward[0])
        assert walked == order


def test_nothing_is_loaded_from_outside_and_no_script_runs(read: dict[str, ReadPage]) -> None:
    """Each page forbids it, and holds nothing that would ask for it."""
    for name, page in read.items():
        policy = next(at["content"] for tag, at in page.tags if tag == "meta" and "http-equiv" in at)
        assert policy == "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
        assert not {"script", "link", "iframe", "object", "form"} & {tag for tag, _ in page.tags}, name
        loaded = [str(at["src"]) for _, at in page.tags if "src" in at]
        assert all(address.startswith("data:image/") for address in loaded), name
        assert not any(key.startswith("on") for _, attrs in page.tags for key in attrs), name
        assert "url(" not in page.path.read_text("utf-8").partition("<body>")[0], name


def test_every_picture_has_words_and_every_page_its_caution(read: dict[str, ReadPage]) -> None:
    """What can't be seen is told; what is for learning says so."""
    for name, page in read.items():
        assert all(str(at.get("alt", "")).strip() for tag, at in page.tags if tag == "img"), name
        assert "For learning only" in page.open_text, name


def test_every_control_of_lessons_has_a_place() -> None:
    """A control that a lesson may show stands on its page, or a sentence says what stands there when it runs."""
    assert set(_SHOWN) == set(widgets.__all__) - {"running_page"}


def course(folder: Path, *cells: dict[str, Any]) -> Path:
    """A course of one lesson."""
    folder.mkdir(exist_ok=True)
    (folder / "01-lesson.ipynb").write_text(json.dumps({"cells": [TITLE, *cells]}), "utf-8")
    return folder


def prose(text: str) -> dict[str, Any]:
    """A cell of text."""
    return {"cell_type": "markdown", "metadata": {}, "source": [text]}


def code(text: str) -> dict[str, Any]:
    """A hidden line that shows a control."""
    line = f"from calclib.widgets import {text.partition('(')[0]}; {text}"
    return {"cell_type": "code", "id": "one", "metadata": {}, "source": ["# What appears here.\n", line]}


TITLE = prose("# Lesson 1: Rates & drops")


def test_a_tag_in_a_lesson_is_text(tmp_path: Path) -> None:
    """Nothing that somebody writes into a lesson becomes part of the page, and no link runs anything."""
    of = course(tmp_path / "c", prose("## A & <b>B</b>\n\n<script>alert(1)</script> [x](javascript:alert(1))"))
    write_book(of, tmp_path / "out")
    page = ReadPage(tmp_path / "out" / "01-lesson.html")
    assert "<script>alert(1)</script>" in page.open_text
    assert not any("javascript" in link for link in page.links())
    assert "A & <b>B</b>" in page.folded_text
    ReadPage(tmp_path / "out" / "index.html")


def test_the_same_course_gives_the_same_bytes(tmp_path: Path) -> None:
    """Also what a question leaves to chance, and over an earlier book, whose pages are replaced."""
    of = course(
        tmp_path / "c", code('practice_box(["drop-rate", "read-syringe"])'), code('question("measures", "half-liter")')
    )
    first = [path.read_bytes() for path in write_book(of, tmp_path / "out")]
    write_book(course(of), tmp_path / "out")
    assert [path.read_bytes() for path in write_book(of, tmp_path / "out")] != first
    of = course(
        tmp_path / "c", code('practice_box(["drop-rate", "read-syringe"])'), code('question("measures", "half-liter")')
    )
    assert [path.read_bytes() for path in write_book(of, tmp_path / "out")] == first


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("telling_fortunes(3)", "the page shows “telling_fortunes”, which has no place in the book for reading"),
        ("question()", "the page calls “question” in a way that it can't be called"),
        ("question(chosen)", "this notebook can't be read as a lesson"),
        ('question("measures" "half-liter")', "this notebook can't be read as a lesson"),
        ('question("measures", "half-liter"); print(1)', "this notebook can't be read as a lesson"),
        ("question(", "this notebook can't be read as a lesson"),
        ('question("measures", "no-such")', "the lesson measures has no question “no-such”"),
        ('worked_example("no-such", gaps=0)', "no-such"),
    ],
)
def test_what_can_not_be_shown_is_refused_before_anything_is_written(line: str, says: str, tmp_path: Path) -> None:
    """In one sentence, and the folder stays as it was."""
    with pytest.raises(BadInput, match=re.escape(says)):
        write_book(course(tmp_path / "c", code(line)), tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"cells": []}', '{"cells": [{"source": 3}]}', '{"cells": 3}'])
def test_a_damaged_notebook_is_refused(text: str, tmp_path: Path) -> None:
    """It is named; no traceback."""
    of = course(tmp_path / "c")
    (of / "02-lesson.ipynb").write_text(text, "utf-8")
    with pytest.raises(BadInput, match=r"02-lesson.ipynb.*can't be read as a lesson"):
        write_book(of, tmp_path / "out")


def test_a_folder_of_somebody_elses_is_left_alone(tmp_path: Path) -> None:
    """Whatever its contents page is called; an empty one is taken."""
    of, out = course(tmp_path / "c"), tmp_path / "out"
    out.mkdir()
    (out / "index.html").write_text("mine", "utf-8")
    with pytest.raises(BadInput, match="not an earlier copy of the book"):
        write_book(of, out)
    assert (out / "index.html").read_text("utf-8") == "mine"
    assert [path.name for path in out.iterdir()] == ["index.html"]
    (out / "index.html").unlink()
    assert [path.name for path in write_book(of, out)] == ["index.html", "01-lesson.html"]


def test_a_folder_without_lessons_is_refused(tmp_path: Path) -> None:
    """The sentence says what to name."""
    with pytest.raises(BadInput, match="holds no lesson"):
        write_book(tmp_path, tmp_path / "out")
