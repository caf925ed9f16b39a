"""What faculty ruled, and what a student must not read, on the pages of a student and of the class."""

from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.nbgrading import mark
from calclib.nbgrading.rule import Wish, rule
from calclib.pages import explanation, waiting, write_feedback, write_report
from calclib.records import class_folder, set_results
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


def test_a_notebook_that_is_left_has_no_points_whatever_was_ruled_before(foreign: Path) -> None:
    """The later ruling goes over the earlier; pages say what was ruled and why, and no longer that it waits."""
    rule(foreign, "week-3", Wish("credit", {}, "The order was unclear.", problem=1), now=NOW)
    rule(foreign, "week-3", Wish("leave", {}, "It is Ben's own.", student="ann"), now=NOW)
    assert set_results(class_folder(foreign), "week-3").marked[0].earned == 0
    page = page_of(foreign)
    assert "awaits review" not in page
    assert "no points until" not in page
    assert "The notebook stays set aside, and gets no points. It is Ben's own." in page
    report = report_of(foreign)
    assert "until somebody has looked" not in report
    assert "Ann Ash (ann): The notebook stays set aside, and gets no points. Reason: It is Ben's own." in report


def test_credit_after_a_notebook_was_left_goes_over_that(foreign: Path) -> None:
    """The order in which rulings were made decides."""
    rule(foreign, "week-3", Wish("leave", {}, "It is Ben's own.", student="ann"), now=NOW)
    rule(foreign, "week-3", Wish("credit", {}, "The order was unclear.", problem=1), now=NOW)
    assert set_results(class_folder(foreign), "week-3").marked[0].earned == 1
    assert "Everyone who handed in gets full points for it. The order was unclear." in page_of(foreign)


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        ("marking", {"policy": "first-practice"}),
        ("rounding", {"policy": "tenths", "printed": "yes"}),
    ],
)
def test_a_ruling_on_the_whole_set_is_on_every_page_with_its_reason(
    marked: Path, kind: str, value: dict[str, str]
) -> None:
    """As the help of the command promises to whoever writes the reason; of two only the one that holds."""
    rule(marked, "week-3", Wish(kind, value, "By mistake."), now=NOW)
    rule(marked, "week-3", Wish("withdraw", {"number": "1"}, "No mistake."), now=NOW)
    rule(marked, "week-3", Wish(kind, value, "Only practice & more."), now=NOW)
    for student in ("ann", "ben"):
        page = page_of(marked, student)
        assert page.count("Only practice & more.") == 1
        assert "on the whole set: " in page
        assert "By mistake." not in page
    assert report_of(marked).count("Only practice & more.") == 1


def test_a_notebook_that_was_taken_says_so_until_another_is_handed_in(
    folder: Path, hand_in: HandIn, keys: Keys
) -> None:
    """The ruling is on one notebook, so is what the page says."""

    def bare(notebook: dict[str, object]) -> None:
        notebook["metadata"] = {}

    hand_in("ann", keys["ann"], change=bare)
    mark(folder, "week-3", now=NOW)
    rule(folder, "week-3", Wish("take", {}, "She copied it.", student="ann"), now=NOW)
    assert "The notebook is marked although it was set aside. She copied it." in page_of(folder)
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    assert "She copied it." not in page_of(folder)
