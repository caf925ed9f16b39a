"""What faculty ruled, and what a student must not read, on the pages of a student and of the class."""

from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.nbgrading import mark
from calclib.pages import explanation, waiting, write_feedback, write_report
from calclib.records import class_folder
from tests.nbgrading.conftest import NOW
from tests.pages.test_pages import outline

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]


@pytest.fixture
def foreign(folder: Path, hand_in: HandIn, keys: Keys) -> Path:
    """A class in which Ann handed in the notebook that was made for Ben."""
    hand_in("ann", keys["ben"], of="ben")
    mark(folder, "week-3", now=NOW)
    return folder


def page_of(folder: Path, student: str = "ann") -> str:
    """The words of a student's page, blanks made one."""
    return " ".join(outline(write_feedback(folder, "week-3").pages[student]).words.split())


def report_of(folder: Path) -> str:
    """The words of the class report, blanks made one."""
    return " ".join(outline(write_report(folder, "week-3")).words.split())


def test_a_student_isnt_told_whose_notebook_it_was(foreign: Path) -> None:
    """Nothing that goes to the student names another one; what faculty works with does."""
    told = "The notebook was made for another student."
    assert told in page_of(foreign)
    assert told in " ".join(explanation(foreign, "week-3", "ann").split())
    assert told in class_folder(foreign).autograded("week-3", "ann").read_text(encoding="utf-8")
    for text in (page_of(foreign), explanation(foreign, "week-3", "ann")):
        assert "student ben" not in text
    assert "made for student ben" in waiting(foreign, "week-3").text
    assert "made for student ben" in report_of(foreign)
