"""The practice box, with a small engine in place of the library's."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import ipywidgets
import pytest

from calclib.errors import BadInput
from calclib.widgets import practice_box
from calclib.widgets.keyboard import ROOT_CLASS
from calclib.widgets.practice import PracticeBox
from tests.widgets.fakes import part, small_engine


def press(box: PracticeBox, words: str) -> None:
    """Press a button by its words."""
    next(one for one in box.buttons.children if one.description == words).click()


def opened(*parts: Any, names: tuple[str, ...] = ("pump-rate",)) -> tuple[PracticeBox, Any]:
    """A practice box on the small engine, and what it asked of it."""
    engine, calls = small_engine(*parts)
    return PracticeBox(names, "fixed", engine), calls


def test_a_problem_stands_there_at_once_with_its_text_escaped() -> None:
    """The stem is data: a sign of HTML in it is shown, not taken for a tag."""
    box, _ = opened()
    assert "Title of pump-rate" in box.stem.widget.value
    assert "Order &lt;pump-rate&gt; 1." in box.stem.widget.value


def test_a_wrong_answer_shows_how_it_was_read_and_the_step_that_went_wrong() -> None:
    """Reading, verdict and message stand together under the field."""
    box, calls = opened()
    box.fields["rate"].value = "2.08 mL/h"
    press(box, "Check")
    assert calls.judged == [{"rate": "2.08 mL/h"}]
    for words in ("Not right yet.", "Read as: 2.08 mL/h", "step from hours to minutes"):
        assert words in box.result.widget.value


def test_typed_text_never_becomes_html() -> None:
    """What a student types is escaped wherever it is shown."""
    box, _ = opened()
    box.fields["rate"].value = "<script>alert(1)</script>"
    press(box, "Check")
    assert "<script" not in box.result.widget.value


def test_a_text_that_cant_be_read_says_why() -> None:
    """The reason is passed on; nobody is promised that a person will look."""
    box, _ = opened()
    reading = SimpleNamespace(reason="Type a number and its unit.")
    unread = SimpleNamespace(
        part="rate", right=False, verdict="unread", reading=reading, notices=(), message="A person will look at it."
    )
    box.engine = replace(box.engine, judge=lambda *_: (unread,))  # type: ignore[arg-type,return-value]
    press(box, "Check")
    assert "Type a number and its unit." in box.result.widget.value
    assert "person" not in box.result.widget.value


def test_a_right_answer_counts_once() -> None:
    """Pressing Check twice on a right answer is one solved problem."""
    box, _ = opened()
    box.fields["rate"].value = "125 mL/h"
    press(box, "Check")
    press(box, "Check")
    press(box, "New problem")
    assert "problem 2, 1 solved" in box.stem.widget.value


def test_enter_in_a_field_checks_too() -> None:
    """Enter does what the Check button does."""
    box, calls = opened()
    box.fields["rate"].value = "125 mL/h"
    box.fields["rate"]._handle_custom_msg({"event": "submit"}, [])
    assert len(calls.judged) == 1


def test_new_problems_take_the_kinds_in_turn_and_each_has_its_own_seed() -> None:
    """The same seed gives the same run of problems, and no seed comes twice."""
    box, calls = opened(names=("pump-rate", "drop-rate"))
    for _ in range(2):
        press(box, "New problem")
    assert calls.drawn == [("pump-rate", "fixed/0"), ("drop-rate", "fixed/1"), ("pump-rate", "fixed/2")]


def test_without_a_seed_two_boxes_differ() -> None:
    """Practice is endless: nobody gets the same problems twice by chance."""
    engine, calls = small_engine()
    practice_box("pump-rate", engine=engine)
    practice_box("pump-rate", engine=engine)
    assert calls.drawn[0] != calls.drawn[1]


def test_a_new_problem_clears_answer_verdict_and_hints() -> None:
    """Nothing of the last problem stays behind."""
    box, _ = opened()
    box.fields["rate"].value = "3"
    for words in ("Check", "Hint 1", "New problem"):
        press(box, words)
    assert box.fields["rate"].value == ""
    assert "<p" not in box.result.widget.value + box.help.widget.value


def test_hints_are_for_the_first_part_that_isnt_right_yet() -> None:
    """Once the volume is right, hints speak of the rate."""
    box, _ = opened(part("volume"), part("rate"))
    press(box, "Hint 1")
    assert "hint 1 for volume" in box.help.widget.value
    box.fields["volume"].value = "125 mL/h"
    press(box, "Check")
    press(box, "Hint 3")
    assert "hint 3 for rate" in box.help.widget.value


def test_worked_solution_shows_every_part_line_by_line() -> None:
    """Lines of the worked solution stay lines."""
    box, _ = opened(part("volume"), part("rate"))
    press(box, "Worked solution")
    assert "volume:<br>500 mL / 4 h = 125 mL/h" in box.help.widget.value
    assert "rate:<br>" in box.help.widget.value


def test_a_choice_is_offered_as_a_list() -> None:
    """A choice part shows its choices and hands on the one chosen; before that, nothing."""
    chosen = part("verdict", kind="choice")
    chosen.choices = ("below the range", "within the range")
    box, calls = opened(chosen)
    press(box, "Check")
    box.fields["verdict"].label = "within the range"
    press(box, "Check")
    assert calls.judged == [{"verdict": ""}, {"verdict": "within the range"}]


def test_every_control_has_a_name() -> None:
    """A field says which answer it takes, a button what it does."""
    box, _ = opened(part("volume"), part("rate"))
    controls = [*box.fields.values(), *box.buttons.children]
    assert all(control.description for control in controls)
    assert len({control.description for control in controls}) == len(controls)


def test_whatever_fails_is_one_sentence() -> None:
    """No traceback reaches a student, and a sentence meant for people is passed on."""
    box, _ = opened()
    engine = box.engine

    def refuses(*_: object) -> Any:
        raise BadInput("there is no item model pump-rat")

    def breaks(*_: object) -> Any:
        raise ZeroDivisionError("secret detail")

    for failing, words in ((refuses, "There is no item model pump-rat."), (breaks, "ZeroDivisionError")):
        box.engine = replace(engine, judge=failing)
        press(box, "Check")
        assert words in box.result.widget.value
        assert "secret detail" not in box.result.widget.value


def test_keys_are_guarded() -> None:
    """The box carries the class and the guard that keep its keys from the notebook."""
    engine, _ = small_engine()
    box = practice_box("pump-rate", "s", engine=engine)
    assert isinstance(box, ipywidgets.VBox)
    assert ROOT_CLASS in box._dom_classes
    assert type(box.children[-1]).__name__ == "KeyGuard"


def test_a_box_without_problems_is_refused() -> None:
    """Naming no kind of problem is a mistake, told in words."""
    with pytest.raises(BadInput, match="at least one kind"):
        practice_box([])
