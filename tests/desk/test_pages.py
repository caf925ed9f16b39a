"""What the desk shows, to whom, and what it never does with an address."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.cli.main import calclib
from calclib.errors import BadInput
from calclib.pages import explanation, write_feedback
from tests.desk.served import HOSTILE, UNREAD, Desk, Window


def test_an_instructor_goes_from_the_sets_to_a_student(desk: Desk) -> None:
    """The list leads to a set with what waits, that to an answer, a student, the explanation and the class report."""
    window = desk.window()
    sets = window.get()
    assert "Week 3: <infusions>" in sets.words and "2 cases" in sets.words
    one = window.get("sets/week-3")
    assert f"Typed: “{UNREAD}”" in one.words
    assert "Ann Ash" in one.words and "Cat Cedar" in one.words
    answer = window.get("sets/week-3/students/ben/answers/2/drops")
    student = window.get("sets/week-3/students/ben")
    assert UNREAD in student.words
    told = window.get("sets/week-3/students/ben/explanation?problem=2")
    assert answer.status == 200
    assert " ".join(explanation(desk.folder, "week-3", "ben", 2).split()) in told.words
    report = window.get("sets/week-3/report")
    assert "/calclib/desk/sets/week-3/students/ben" in report.text
    assert "Ben Birch" in report.words


def test_what_a_student_typed_is_shown_and_never_part_of_a_page(desk: Desk) -> None:
    """Markup stands there as text; a page names its only scripts by their hashes, and no other site may frame it."""
    window = desk.window()
    student = "sets/week-3/students/ben"
    for place in ("sets/week-3", student, "sets/week-3/report", f"{student}/explanation"):
        page = window.get(place)
        assert HOSTILE not in page.text, place
        policy = page.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy and "frame-ancestors 'none'" in policy and "form-action 'self'" in policy
        assert "script-src 'unsafe" not in policy and "script-src *" not in policy
        assert page.headers["Cache-Control"] == "no-store"
    assert HOSTILE in window.get("sets/week-3/students/ben").words


def test_nobody_without_the_token_sees_a_page(desk: Desk) -> None:
    """Without it the login page comes; with it the address that stays in the browser's history has none."""
    stranger = Window(desk.address.split("?")[0])
    page = stranger.get("sets/week-3")
    assert "Ann" not in page.text and "Ben" not in page.text
    assert stranger.post("sets/week-3/rule", {"do": "void"}).status == 403
    assert stranger.get("?token=wrong").text.count("Ann Ash") == 0


@pytest.mark.parametrize(
    "place",
    [
        "sets/week-4",
        "sets/..%2F..%2Fetc",
        "sets/week-3/students/dan",
        "sets/week-3/students/..%2F..%2Fann",
        "sets/week-3/students/ann/plan?attempt=..%2F..",
        "sets/week-3/students/ann/plan?attempt=7",
        "sets/week-3/students/ann/feedback",
        "sets/week-3/students/ann/answers/99/answer",
        "sets/week-3/students/ann/answers/1/nothing",
        "sets/week-3/problems/99",
        "sets/week-3/students/ann/notebook",
        "sets/week-3/students/ann/explanation?problem=1e3",
        "sets/week-3/students/ann/hand-ins/3f2a9c1b",
    ],
)
def test_an_address_names_only_what_the_class_has(desk: Desk, place: str) -> None:
    """Anything else is one sentence, never a traceback and never a file."""
    page = desk.window().get(place)
    assert page.status == 404
    assert "Traceback" not in page.text
    assert re.search(r'role="alert"><p>[^<]+[.]</p>', page.text)


def test_a_students_page_is_the_file_that_the_student_gets(desk: Desk) -> None:
    """Once it is written, and unless a link stands in its place."""
    path = write_feedback(desk.folder, "week-3").pages["ben"]
    window = desk.window()
    assert window.get("sets/week-3/students/ben/feedback").text == path.read_text("utf-8")
    secret = desk.folder / "course-secret.txt"
    path.unlink()
    path.symlink_to(secret)
    page = window.get("sets/week-3/students/ben/feedback")
    assert page.status == 404 and secret.read_text("ascii").strip() not in page.text


def test_a_folder_that_is_no_class_is_one_sentence(tmp_path: Path) -> None:
    """No server is started."""
    done = CliRunner().invoke(calclib, ["desk", str(tmp_path)])
    assert isinstance(done.exception, BadInput)
    assert "isn't a class folder (it has no class.toml)" in str(done.exception)
