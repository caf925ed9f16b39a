"""What faculty ruled, and what a student must not read, on the pages of a student and of the class."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, waiting, write_feedback, write_report
from tests.pages.test_pages import outline
from tests.small_class.started import NOW

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
    make_ruling(foreign, "week-3", RulingRequest("credit", {}, "The order was unclear.", problem=1), now=NOW)
    make_ruling(foreign, "week-3", RulingRequest("leave", {}, "It is Ben's own.", student="ann"), now=NOW)
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
    make_ruling(foreign, "week-3", RulingRequest("leave", {}, "It is Ben's own.", student="ann"), now=NOW)
    make_ruling(foreign, "week-3", RulingRequest("credit", {}, "The order was unclear.", problem=1), now=NOW)
    assert set_results(class_folder(foreign), "week-3").marked[0].earned == 1
    assert "Everyone who handed in attempt 1 gets full points for it. The order was unclear." in page_of(foreign)


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
    make_ruling(marked, "week-3", RulingRequest(kind, value, "By mistake."), now=NOW)
    make_ruling(marked, "week-3", RulingRequest("withdraw", {"number": "1"}, "No mistake."), now=NOW)
    make_ruling(marked, "week-3", RulingRequest(kind, value, "Only practice & more."), now=NOW)
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
    make_ruling(folder, "week-3", RulingRequest("take", {}, "She copied it.", student="ann"), now=NOW)
    assert "The notebook is marked although it was set aside. She copied it." in page_of(folder)
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    assert "She copied it." not in page_of(folder)


def first_mark(folder: Path) -> tuple[str, str]:
    """Tone and label of the first answer on Ann's page."""
    page = write_feedback(folder, "week-3").pages["ann"].read_text(encoding="utf-8")
    ((tone, label), *_) = re.findall(r'<span class="mark (\w+)">([^<]+, [^<]+)</span>', page)
    return tone, label


@pytest.mark.parametrize(
    ("kind", "value", "label"),
    [
        ("credit", {}, "• Full points by a ruling, 1 of 1"),
        ("answer", {"points": "1"}, "• Full points by a ruling, 1 of 1"),
        ("answer", {"points": "0.5"}, "• 0.5 points by a ruling, 0.5 of 1"),
        ("answer", {"points": "0"}, "• No points by a ruling, 0 of 1"),
        ("void", {}, "• Doesn&#39;t count, 0 of 0"),
    ],
)
def test_a_wrong_answer_with_points_by_a_ruling_isnt_called_right(
    folder: Path, hand_in: HandIn, keys: Keys, kind: str, value: dict[str, str], label: str
) -> None:
    """A sign of right above words on grave harm would teach the wrong rate."""
    rate = int(keys["ann"]["answer_1"].split()[0])
    hand_in("ann", keys["ann"] | {"answer_1": f"{10 * rate} gtt/min"})
    mark(folder, "week-3", now=NOW)
    student = {"student": "ann"} if kind == "answer" else {}
    make_ruling(folder, "week-3", RulingRequest(kind, value, "Unclear.", problem=1, **student), now=NOW)
    assert first_mark(folder) == ("ruled", label)


def test_a_right_answer_stays_right_whatever_everyone_gets(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Credit for all says nothing against it."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("credit", {}, "Unclear.", problem=1), now=NOW)
    assert first_mark(folder) == ("ok", "✓ Right, 1 of 1")


def test_nobody_is_promised_to_look_once_a_person_has(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """The page still says that it could not be read."""
    hand_in("ann", keys["ann"] | {"answer_1": "about a lot"})
    mark(folder, "week-3", now=NOW)
    assert "A person will look at it." in page_of(folder)
    make_ruling(
        folder, "week-3", RulingRequest("answer", {"points": "1"}, "Orally.", problem=1, student="ann"), now=NOW
    )
    page = page_of(folder)
    assert "This could not be read: " in page
    assert "A person will look at it." not in page
    assert "A person will look at it." not in explanation(folder, "week-3", "ann")


def test_a_notebook_that_waits_as_a_whole_has_no_score_yet(foreign: Path) -> None:
    """Neither 0 % nor a word on the cut score; once a person has ruled there is one."""
    page = page_of(foreign)
    assert "Awaits review" in page
    assert "0%" not in page
    assert "cut score of" not in page
    report = report_of(foreign)
    assert "… awaits review" in report
    assert "✗ below" not in report
    make_ruling(foreign, "week-3", RulingRequest("leave", {}, "It is Ben's own.", student="ann"), now=NOW)
    page = page_of(foreign)
    assert "Awaits review" not in page
    assert "The cut score of 90% is not reached." in page


def test_points_of_a_notebook_that_waits_are_said_to_be_a_rulings(foreign: Path) -> None:
    """A ruling that gives none isn't said to."""
    make_ruling(foreign, "week-3", RulingRequest("marking", {"policy": "first-practice"}, "Practice."), now=NOW)
    assert "It has no points until then. " in page_of(foreign)
    make_ruling(foreign, "week-3", RulingRequest("credit", {}, "The order was unclear.", problem=1), now=NOW)
    page = page_of(foreign)
    assert "It has no points until then, but for what a ruling gives." in page
    assert "1 of 12 points so far" in page
