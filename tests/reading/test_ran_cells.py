"""Which of the cells that were run holds an answer: what marking will read, or a sentence, and never an older value."""

from __future__ import annotations

import pytest

from calclib.reading import CellText, Unread, answer_in
from calclib.reading.ran_cells import NotClear, RanCell, cell_of_answer

OLD = 'answer_1 = "12 mL"'
START = "from calclib.reading import start_set\n\nstart_set()"
CHECK = 'from calclib.reading import show_answer\n\nshow_answer("answer_1", asked="quantity")'
JUDGE = 'from calclib.plugins import check_answer\n\ncheck_answer("practice-measures", 1, "converted")'


@pytest.mark.parametrize(
    ("again", "text"),
    [
        ('answer_1 = "13 mL"', "13 mL"),
        ("answer_1 = 13 mL", "13 mL"),
        ('Answer_1 = "13 mL"', "13 mL"),
        ("ANSWER_1 = 13 mL", "13 mL"),
        ('answer1 = "13 mL"', "13 mL"),
        ('answer_1: "13 mL"', "13 mL"),
        ('answer_1: str = "13 mL"', "13 mL"),
        ('answer_1 == "13 mL"', "13 mL"),
        ('  answer_1 = "13 mL"', "13 mL"),
        ('rate = 5\nanswer_1 = "13 mL"', "13 mL"),
        ("answer_1 = “13 mL”", "13 mL"),
        ('answer_1 = "13 mL', "13 mL"),
        ("answer_1 = 13 mL?", "13 mL?"),
        ('answer_1 = ""', ""),
        ("answer_1 =", ""),
        ("answer_1 = None", ""),
    ],
)
def test_the_cell_run_again_counts_however_its_name_is_written(again: str, text: str) -> None:
    """What was run before under the same name is forgotten."""
    found = answer_in("answer_1", ["", START, OLD, CHECK, again])
    assert isinstance(found, CellText)
    assert found.text == text


@pytest.mark.parametrize("again", ["answer_1 += '0'", "answer_1 = max(1, 2)", 'if True: answer_1 = "7"'])
def test_an_answer_that_is_code_is_not_read_as_the_one_before(again: str) -> None:
    """As in marking, where a person has to look at it."""
    assert isinstance(answer_in("answer_1", [OLD, CHECK, again]), Unread)


@pytest.mark.parametrize("again", ['"13 mL"', "13 mL", "= 13 mL", 'rate = "13 mL"', "1000/8"])
def test_a_cell_without_the_name_that_was_run_last_makes_it_unclear(again: str) -> None:
    """It may be the answer's cell with its name gone, or the student's own: neither value is shown as the answer."""
    found = answer_in("answer_1", [OLD, CHECK, again])
    assert isinstance(found, Unread)
    assert "answer_1" in found.reason
    (alone,) = [answer_in("answer_1", [again])]
    assert isinstance(alone, CellText)


@pytest.mark.parametrize(
    "beside", ['answer_2 = "13 mL"', "answer_12 = 5", "import math", "print(answer_1)", "%time", "# 13 mL", "", START]
)
def test_other_cells_change_nothing(beside: str) -> None:
    """Other answers, plain code and comments are passed over."""
    assert answer_in("answer_1", [OLD, beside, CHECK]) == CellText("12 mL", 1)


@pytest.mark.parametrize("check", [CHECK, JUDGE])
def test_a_check_cell_is_none_of_an_answer(check: str) -> None:
    """Though it names one."""
    assert answer_in("answer_1", [check]) is None


def test_where_ids_are_told_the_cell_is_known_as_marking_knows_it() -> None:
    """A cell beside it under the same name, or one that was run later, is none of it."""
    ran = [
        RanCell("13 mL", "set-q1-rate-answer"),
        RanCell('answer_1 = "99 mL"', "a-cell-of-my-own"),
        RanCell("1000/8", "another"),
    ]
    assert cell_of_answer("answer_1", ran, "set-q1-rate-check") == "13 mL"


def test_without_its_id_the_cells_whose_ids_are_told_are_none_of_it() -> None:
    """It was run before ids were told, or not at all."""
    own = RanCell('answer_1 = "99 mL"', "a-cell-of-my-own")
    assert cell_of_answer("answer_1", [own], "set-q1-rate-check") is None
    assert cell_of_answer("answer_1", [RanCell(OLD), own], "set-q1-rate-check") == OLD


def test_an_unclear_cell_is_told_as_it_stands() -> None:
    """So that a person may see it."""
    assert cell_of_answer("answer_1", [RanCell(OLD), RanCell("1000/8")]) == NotClear("1000/8")
