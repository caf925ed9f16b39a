"""The page from which a student starts, and what every page says where it can't run."""

from __future__ import annotations

import json
import re
from pathlib import Path

import nbformat
import pytest
from nbconvert.preprocessors import ExecutePreprocessor

from calclib.cli.commands.demo import demo, opening_command
from tests.course.lesson_files import COURSE, pages

README = COURSE.parent / "README.md"
START = COURSE / "start.ipynb"
EVERY = [START, *(page.path for page in pages())]


def source(path: Path) -> str:
    """All the text of a page."""
    return "\n\n".join("".join(cell["source"]) for cell in json.loads(path.read_text("utf-8"))["cells"])


def test_the_readme_points_students_at_the_start_page() -> None:
    """The one command for students opens it with the settings for students, and both files are there."""
    text = README.read_text("utf-8")
    (command,) = re.findall(r"`\.venv/bin/jupyter lab --config (\S+) (\S+)`", text)
    assert [COURSE.parent / word for word in command] == [COURSE / ".lab" / "config.py", START]
    assert all((COURSE.parent / word).is_file() for word in command)


def test_the_demo_opens_what_the_readme_opens(monkeypatch: pytest.MonkeyPatch) -> None:
    """At its end the demo prints the README's command for students: the start page with the settings for students."""
    monkeypatch.chdir(COURSE.parent)
    start = next(Path(option.default) for option in demo.params if option.name == "lesson")
    assert f"`{opening_command('.venv/bin/jupyter', start)}`" in README.read_text("utf-8")
    assert "--config" not in opening_command("jupyter", Path("somewhere/set.ipynb"))


def test_the_start_page_names_every_lesson_in_order() -> None:
    """Each lesson is linked once, with its title, in the order of learning."""
    linked = re.findall(r"\[(\d+)\. ([^\]]+)\]\((\S+?)\)", source(START))
    assert [file for _, _, file in linked] == [page.path.name for page in pages()]
    titles = [page.prose.split("\n")[0].removeprefix("# Lesson ") for page in pages()]
    assert [f"{number}: {title}" for number, title, _ in linked] == titles


def test_the_start_page_holds_a_first_problem_and_todays_practice() -> None:
    """A student finds a problem at once, and on other days what is due."""
    assert source(START).index("practice_box(") < source(START).index("todays_practice(")


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.stem)
def test_a_page_says_how_to_start_it(path: Path) -> None:
    """One key, and the menu where that key does nothing; then the cell that speaks where calclib is missing."""
    first, second = json.loads(path.read_text("utf-8"))["cells"][:2]
    assert "press **F8**" in "".join(first["source"])
    assert "**Run All Cells**" in "".join(first["source"])
    assert second["id"] == "needs-calclib"


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.stem)
def test_without_calclib_a_page_says_so_in_one_sentence(path: Path) -> None:
    """No traceback: the first cell says what is missing and that answers count, and nothing runs after it."""
    notebook = nbformat.read(path, as_version=4)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"][:2]
    hidden = nbformat.v4.new_code_cell('import sys; sys.modules["calclib"] = None')
    without = nbformat.v4.new_notebook(cells=[hidden, *code])
    ExecutePreprocessor(kernel_name="python3", allow_errors=True).preprocess(without)
    outputs = [output for cell in without.cells for output in cell.outputs]
    assert {output.output_type for output in outputs} == {"stream"}
    assert "calclib" in outputs[0].text
    assert "still count" in outputs[0].text
    assert "Traceback" not in str(outputs)
