"""From the first cell of a set on, an answer's cell is text: whatever is typed there stops nothing and runs nothing."""

from __future__ import annotations

import ast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.reading import CellText, read_answer_cell
from calclib.reading.start import answer_as_code

OWN = "week-3-q1-rate-answer"
TYPED = st.text(st.sampled_from("0123456789 .,/*-+=()[]{}\"'“”`\\#%!?:;\nmLhgtabxanswer_fr\t\u00b5\u2028"), max_size=40)


def only_keeps_and_tells(code: str) -> bool:
    """Whether code does nothing but keep a text under a name and print a text."""
    for line in ast.parse(code).body:
        match line:
            case ast.Assign(targets=[ast.Name()], value=ast.Constant(value=str())):
                pass
            case ast.Expr(value=ast.Call(func=ast.Name(id="print"), args=[ast.Constant(value=str())], keywords=[])):
                pass
            case ast.Pass():
                pass
            case _:
                return False
    return True


@given(TYPED)
def test_whatever_is_typed_is_no_code(typed: str) -> None:
    """After the name, in the place of everything, or between quotes: the code keeps and tells, and is Python."""
    for source in (f"answer_1 = {typed}", f'answer_1 = "{typed}"', typed, f"{typed}\nanswer_1 = 5"):
        code = answer_as_code(source, OWN)
        assert code is not None
        assert only_keeps_and_tells(code)


@pytest.mark.parametrize(
    "source",
    [
        "answer_1 = 25 mL",
        "answer_1 = 25",
        "answer_1 = 25*mL",
        "answer_1 = 1/0",
        "answer_1 = 0130",
        "answer_1 = “25 mL”",
        'answer_1 = "25 mL',
        "Answer_1 = 25 mL",
        "answer_1: 25 mL",
        "answer_1 = 25 mL?",
        "25 mL",
    ],
)
def test_an_answer_without_quotes_is_kept_and_how_to_write_it_is_said(source: str) -> None:
    """The text that is kept is the one that marking reads."""
    found = read_answer_cell(source, "answer_1")
    assert isinstance(found, CellText)
    code = answer_as_code(source, OWN)
    assert code is not None
    assert f"Read as text: {found.text}" in code


@pytest.mark.parametrize("source", ['answer_1 = "2 mL"', "answer_1 = '2 mL'  # mine", 'answer_1 = ""\n# Type', ""])
def test_an_answer_between_quotes_or_none_is_not_remarked_on(source: str) -> None:
    """There is nothing to say."""
    code = answer_as_code(source, OWN)
    assert code is not None
    assert "print" not in code


def test_code_in_the_place_of_an_answer_is_told_and_not_run() -> None:
    """Nothing of it happens."""
    code = answer_as_code('answer_1 = open("/etc/passwd").read()')
    assert code is not None
    assert only_keeps_and_tells(code)
    assert "code is not run" in code


@pytest.mark.parametrize("source", ["volume = 1000", "1000/8", "print(answer_1)", "import math", "answers = [1]"])
def test_cells_of_ones_own_run_as_they_stand(source: str) -> None:
    """They hold no answer."""
    assert answer_as_code(source, "a-cell-of-my-own") is None


@pytest.mark.parametrize(
    "source",
    [
        "from calclib.reading import start_set\n\nstart_set()",
        'from calclib.reading import show_answer\n\nshow_answer("answer_1", asked="quantity")',
        'from calclib.plugins import check_answer\n\ncheck_answer("practice-measures", 1, "converted")',
    ],
)
def test_the_cells_of_the_set_run(source: str) -> None:
    """The start and the checks are code."""
    assert answer_as_code(source, "week-3-q1-rate-check") is None
