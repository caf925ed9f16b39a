"""Questions and worked examples as widgets: what the page gets before and after an answer."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from calclib.lessons import lesson, lesson_names
from calclib.widgets.board import worked_example
from calclib.widgets.question_box import QuestionBox, question

ALL = [(name, one) for name in lesson_names() for one in lesson(name).questions]


@pytest.mark.parametrize(("name", "asked"), ALL)
def test_nothing_is_told_before_an_answer(name: str, asked: str) -> None:
    """What a page or a saved notebook holds of a question that was only shown has no reason and no explanation."""
    box = question(name, asked)
    held = json.dumps([box.shown, box.told], ensure_ascii=False)
    of_book = lesson(name).question(asked)
    assert box.told == {}
    assert not any(text in held for text in of_book.explains)
    assert not any(choice.why in held for choice in of_book.choices)
    assert "img" not in held or box.item is not None


def sent(box: QuestionBox, **content: object) -> dict[str, object]:
    """What is told after a press."""
    box._received(None, content, None)
    return dict(box.told)


def place_of(box: QuestionBox, words: str) -> str:
    """What a page sends for a choice."""
    return str([choice.says for choice in box.question.choices].index(words))


def test_a_wrong_choice_says_why_and_keeps_the_explanation() -> None:
    """The choice's own reason, and no explanation yet."""
    box = question("measures", "leading-zero")
    told = sent(box, answer=place_of(box, ".5 mg"))
    assert told["right"] is False
    assert told["lines"] == ["A faint point is missed, and the next nurse reads 5 mg: ten times too much."]
    assert "explains" not in told


def test_the_right_choice_is_explained() -> None:
    """With the picture where the question has one."""
    box = question("secondary", "too-small")
    told = sent(box, answer=place_of(box, "It runs at the primary rate"))
    assert told["right"] is True
    assert told["explains"] == list(box.question.explains)
    assert "<img" in str(told["picture"])


def test_the_way_is_shown_only_after_two_wrong_answers() -> None:
    """One wrong answer offers nothing; asking too early brings nothing."""
    box = question("measures", "half-liter")
    assert not sent(box, show=True).get("explains")
    assert sent(box, answer="15 mL")["offers"] is False
    assert sent(box, answer="150 mL")["offers"] is True
    told = sent(box, show=True)
    assert "1,500 mL" in str(told["lines"])


def test_a_decision_is_chosen_and_judged_by_its_problem() -> None:
    """Its answers stand to be chosen beside its papers; the judge of all answers judges the place that a page sends."""
    box = question("decisions", "too-soon")
    choices = list(box.shown["choices"])
    assert len(box.shown["drawings"]) == 3
    assert "as needed for pain, not sooner than 4 h after the last dose" in str(box.shown["drawings"])
    assert sent(box, answer="")["counts"] is False
    wrong = sent(box, answer=str(choices.index("Give it as ordered")))
    assert (wrong["right"], wrong["place"]) == (False, choices.index("Give it as ordered"))
    assert "There is a reason to hold this order" in str(wrong["lines"])
    right = sent(box, answer=str(choices.index("Hold it and call the prescriber")))
    assert right["right"] is True
    assert right["lines"] == []
    assert right["explains"] == list(box.question.explains)


@pytest.mark.parametrize("nothing", ["", "  ", "99", "x"])
def test_no_answer_counts_as_none(nothing: str) -> None:
    """Pressing without an answer asks for one."""
    box = question("measures", "leading-zero")
    told = sent(box, answer=nothing)
    assert "first" in str(told["head"])
    assert box.wrong == 0


@pytest.mark.parametrize("content", ["text", None, 3, [], {"answer": ["a"]}, {"typed": 7}])
def test_strange_messages_do_no_harm(content: object) -> None:
    """Whatever a page sends, nothing is raised."""
    question("measures", "half-liter")._received(None, content, None)
    worked_example("pump-rate", volume="1,000 mL", time="8 h", gaps=1)._received(None, content, None)


def test_a_board_is_complete_when_its_gaps_are_right() -> None:
    """Right answers bring the whole board, wrong ones a verdict for each gap."""
    box = worked_example("pump-rate", volume="1,000 mL", time="8 h", gaps=2)
    box._received(None, {"typed": {"amount": "8 h", "answer": "12.5 mL/h"}, "method": "factors"}, None)
    assert [one["right"] for one in box.told["found"]] == [True, False]
    assert "whole" not in box.told
    box._received(None, {"typed": {"amount": "8 h", "answer": "125 mL/h"}, "method": "factors"}, None)
    assert "125" in json.dumps(box.told["whole"])


def test_an_empty_board_judges_the_set_up_too() -> None:
    """What a typed set-up shows is said beside the answer."""
    box = worked_example("pump-rate", volume="1,000 mL", time="8 h", gaps="all")
    typed = {"rate/setup": "8 h / 1000 mL", "rate/answer": "125 mL/h"}
    box._received(None, {"typed": typed, "method": "factors"}, None)
    assert any("Your set-up:" in line for line in box.told["found"][0]["lines"])


def test_a_sleeping_question_says_how_to_wake_it() -> None:
    """Where nothing runs the widget, a sentence stands in its place, without an answer."""
    box = question("measures", "leading-zero")
    (sentence, _), (widget, _) = box.outputs()
    assert "Run All Cells" in sentence["text/plain"]
    assert "Run All Cells" in sentence["text/html"]
    assert widget["text/plain"] == "[a question that checks your answer]"
    assert "0.5 mg" not in str((sentence, widget))


def test_controls_are_found_by_name_whatever_was_imported_before() -> None:
    """A control has no name of a module, which would take its place; an unknown name is none."""
    import calclib.widgets as controls

    modules = {path.stem for path in Path(str(controls.__file__)).parent.iterdir()}
    assert not modules & set(controls.__all__)
    assert all(callable(getattr(controls, name)) for name in controls.__all__)
    with pytest.raises(AttributeError):
        controls.nothing  # noqa: B018 - that it isn't there is the point
