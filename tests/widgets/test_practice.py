"""The practice box as its page drives it, with a small engine in place of the library's."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from calclib.errors import BadInput
from calclib.widgets import practice_box, todays_practice
from calclib.widgets.practice import PracticeBox
from calclib.wording import fact
from tests.widgets.fakes import part, small_engine


def opened(*parts: Any, names: tuple[str, ...] = ("pump-rate",)) -> tuple[PracticeBox, Any]:
    """A practice box on the small engine, and what it asked of it."""
    engine, calls = small_engine(*parts)
    return practice_box(names, "fixed", engine=engine), calls


def ask(box: PracticeBox, what: str, *, problem: int | None = None, **more: Any) -> Mapping[str, Any]:
    """Send what the page sends at a press, and return what is told then."""
    content = {"ask": what, "problem": box.problem["number"] if problem is None else problem, **more}
    box._handle_custom_msg(content, [])
    return box.told


def checked(box: PracticeBox, **answers: str) -> Mapping[str, Any]:
    """Press Check with answers in the fields."""
    return ask(box, "check", answers=answers, setups={})


def test_a_problem_stands_there_at_once() -> None:
    """Title, number, each paragraph and each question go to the page as text."""
    box, _ = opened()
    assert box.problem["title"] == "Title of pump-rate"
    assert box.problem["stem"] == ["Order <pump-rate> 1.", "Second paragraph."]
    assert [one["asked"] for one in box.problem["parts"]] == ["What rate do you enter?"]


def test_what_was_typed_comes_with_the_press() -> None:
    """The judge gets the texts that the press itself carries; nothing typed earlier is kept in its place."""
    box, calls = opened()
    checked(box, rate="2.08 mL/h")
    checked(box, rate="125 mL/h")
    assert calls.judged == [{"rate": "2.08 mL/h"}, {"rate": "125 mL/h"}]


def test_a_wrong_answer_shows_how_it_was_read_and_the_step_that_went_wrong() -> None:
    """Verdict, reading and message go to the field that they belong to."""
    box, _ = opened(part("volume"), part("rate"))
    told = checked(box, volume="125 mL/h", rate="2.08 mL/h")
    assert told["parts"]["volume"]["state"] == "right"
    wrong = told["parts"]["rate"]
    assert (wrong["state"], wrong["mark"], wrong["read"]) == ("wrong", "\u2717 Not right yet.", "2.08 mL/h")
    assert wrong["lines"] == ["Look at the step from hours to minutes.", "60 min = 1 h"]


def test_a_check_is_announced_with_the_question_of_each_part_that_is_not_right() -> None:
    """The sentence for screen readers counts what is right, and names the rest by their questions."""
    box, _ = opened(part("volume"), part("rate"))
    told = checked(box, volume="125 mL/h", rate="")
    assert told["said"].startswith("1 of 2 right. What rate do you enter? Not answered yet.")
    assert "What volume" not in told["said"]


def test_a_text_that_cant_be_read_says_why() -> None:
    """The reason is passed on; nobody is promised that a person will look."""
    box, _ = opened()
    reading = SimpleNamespace(reason="Type a number and its unit.")
    unread = SimpleNamespace(
        part="rate", right=False, verdict="unread", reading=reading, notices=(), message="A person will look at it."
    )
    box.session.engine = replace(box.session.engine, judge=lambda *_: (unread,))  # type: ignore[arg-type,return-value]
    assert checked(box, rate="?")["parts"]["rate"]["lines"] == ["Type a number and its unit."]


def test_only_what_was_right_at_the_first_try_and_without_help_counts() -> None:
    """A second try, a hint or the worked solution leaves a problem out of the count; each counts once."""
    box, _ = opened()
    assert checked(box, rate="125 mL/h")["progress"] == "Right at the first try and without help: 1 of 1."
    assert checked(box, rate="125 mL/h")["progress"] == "Right at the first try and without help: 1 of 1."
    ask(box, "next")
    checked(box, rate="7")
    assert checked(box, rate="125 mL/h")["progress"] == "Right at the first try and without help: 1 of 2."
    ask(box, "next")
    ask(box, "hint", part="rate")
    assert checked(box, rate="125 mL/h")["progress"] == "Right at the first try and without help: 1 of 3."
    ask(box, "next")
    ask(box, "worked")
    assert checked(box, rate="125 mL/h")["progress"] == "Right at the first try and without help: 1 of 4."


def test_help_after_the_end_takes_nothing_away() -> None:
    """Whoever solved a problem alone may look at the worked solution."""
    box, _ = opened()
    checked(box, rate="125 mL/h")
    ask(box, "hint", part="rate")
    assert ask(box, "worked")["progress"] == "Right at the first try and without help: 1 of 1."


def test_a_problem_left_untouched_counts_for_nothing_and_one_left_wrong_counts() -> None:
    """New problem passes one by without harm, unless it was tried."""
    box, _ = opened()
    ask(box, "next")
    assert box.problem["progress"] == ""
    checked(box, rate="7")
    ask(box, "next")
    assert box.problem["progress"] == "Right at the first try and without help: 0 of 1."


def test_the_session_tells_of_each_problem_that_ends() -> None:
    """Kind, and whether it was solved unaided, once for each problem."""
    box, _ = opened(names=("pump-rate", "drop-rate"))
    ended: list[tuple[str, bool]] = []
    box.session.finished = lambda *one: ended.append(one)
    checked(box, rate="125 mL/h")
    ask(box, "next")
    checked(box, rate="7")
    ask(box, "next")
    assert ended == [("pump-rate", True), ("drop-rate", False)]


def test_each_problem_has_its_own_seed() -> None:
    """The same seed gives the same run of problems, and no seed comes twice."""
    box, calls = opened(names=("pump-rate", "drop-rate"))
    ask(box, "next")
    ask(box, "next")
    assert calls.drawn == [("pump-rate", "fixed/0"), ("drop-rate", "fixed/1"), ("pump-rate", "fixed/2")]


def test_without_a_seed_two_boxes_differ() -> None:
    """Practice is endless: nobody gets the same problems twice by chance."""
    engine, calls = small_engine()
    practice_box("pump-rate", engine=engine)
    practice_box("pump-rate", engine=engine)
    assert calls.drawn[0] != calls.drawn[1]


def test_a_press_on_an_earlier_problem_is_dropped() -> None:
    """A second press of New problem that was under way skips none, and a late answer meets no other problem."""
    box, calls = opened()
    ask(box, "next", problem=1)
    ask(box, "next", problem=1)
    ask(box, "check", problem=1, answers={"rate": "125 mL/h"})
    assert (box.problem["number"], calls.judged) == (2, [])


def test_hints_of_a_part_come_one_after_another_and_the_last_one_stays() -> None:
    """Each part has three hints of its own."""
    box, _ = opened(part("volume"), part("rate"))
    told = [ask(box, "hint", part="rate")["lines"] for _ in range(4)]
    assert told == [["hint 1 for rate"], ["hint 2 for rate"], ["hint 3 for rate"], ["hint 3 for rate"]]
    assert ask(box, "hint", part="volume")["lines"] == ["hint 1 for volume"]


def test_worked_solution_shows_every_part_line_by_line() -> None:
    """Lines of the worked solution stay lines."""
    box, _ = opened(part("volume"), part("rate"))
    assert [one["lines"] for one in ask(box, "worked")["parts"]] == [
        ["volume:", "500 mL / 4 h = 125 mL/h"],
        ["rate:", "500 mL / 4 h = 125 mL/h"],
    ]


@pytest.mark.parametrize(
    "content",
    [
        None,
        "check",
        {"ask": "check", "problem": 1},
        {"ask": "check", "problem": 1, "answers": ["7"], "setups": 3},
        {"ask": "check", "problem": 1, "answers": {"rate": None, "other": "7"}},
        {"ask": "hint", "problem": 1, "part": "no such part"},
        {"ask": "setup", "problem": 1},
        {"ask": "__init__", "problem": 1},
    ],
)
def test_a_message_of_another_shape_breaks_nothing(content: object) -> None:
    """Whatever the page sends, the box goes on working."""
    box, _ = opened()
    box._handle_custom_msg(content, [])
    assert checked(box, rate="125 mL/h")["solved"] is True


def test_whatever_fails_is_one_sentence() -> None:
    """No traceback reaches a student, and a sentence meant for people is passed on."""
    box, _ = opened()
    engine = box.session.engine

    def refuses(*_: object) -> Any:
        raise BadInput(fact("errors_widgets.no_problem_yet"))

    def breaks(*_: object) -> Any:
        raise ZeroDivisionError("secret detail")

    box.session.engine = replace(engine, judge=refuses)
    assert checked(box, rate="7")["sentence"] == "No problem is drawn yet: press New problem."
    box.session.engine = replace(engine, judge=breaks)
    told = checked(box, rate="7")["sentence"]
    assert "ZeroDivisionError" in told
    assert "secret detail" not in told


def test_a_box_without_problems_is_refused() -> None:
    """Naming no kind of problem is a mistake, told in words."""
    with pytest.raises(BadInput, match="at least one kind"):
        practice_box([])


def test_where_no_widget_is_shown_a_sentence_says_what_to_do() -> None:
    """A saved notebook, a page and a terminal say how to start the box, not its name in Python."""
    box, _ = opened()
    (sentence, _), (widget, _) = box.outputs()
    assert "application/vnd.jupyter.widget-view+json" in widget
    assert all("Run All Cells" in sentence[kind] for kind in ("text/plain", "text/html"))
    assert "PracticeBox" not in str((sentence, widget["text/plain"]))


@pytest.fixture
def own_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file of practice for one test."""
    path = tmp_path / "practice.json"
    monkeypatch.setenv("CALCLIB_PRACTICE_FILE", str(path))
    return path


def test_what_ended_is_kept_and_what_was_missed_comes_back_today(own_file: Path) -> None:
    """A missed kind stands on today's page; before anything was missed, a sentence says that nothing is due."""
    engine, _ = small_engine()
    assert "Nothing is due" in repr(todays_practice(engine=engine))
    box, _ = opened()
    checked(box, rate="7")
    checked(box, rate="125 mL/h")
    assert [one[2] for one in json.loads(own_file.read_text())["skills"]["pump-rate"]["practiced"]] == [False]
    again = todays_practice("2099-12-15", engine=engine)
    assert isinstance(again, PracticeBox)
    assert again.heading == ["About 10 minutes for today.", "Missed last time: Title of pump-rate."]
    assert again.session.skills == ("pump-rate",)
    assert json.loads(own_file.read_text())["exam"] == "2099-12-15"


def test_practice_goes_on_where_it_cant_be_kept(own_file: Path) -> None:
    """The verdict comes, and beside it one sentence on what is not remembered."""
    own_file.mkdir()
    box, _ = opened()
    told = checked(box, rate="125 mL/h")
    assert told["solved"] is True
    assert "nothing is added to it" in told["notice"]


def test_a_day_that_is_none_is_one_sentence(own_file: Path) -> None:
    """The sentence shows how a day is written."""
    with pytest.raises(BadInput, match="such as 2026-12-15"):
        todays_practice("tomorrow")
    assert not own_file.exists()
