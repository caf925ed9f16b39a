from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from calclib.nbgrading.bound_answers import _USUAL, Typed, bind_answers
from calclib.nbgrading.notebook import PLACE, AnswerPlace
from calclib.nbgrading.submitted_notebook import SubmittedNotebook, TypedCell
from calclib.reading import CellText, read_answer_cell

PLACE_1 = AnswerPlace(1, "x", "quantity", Fraction(1), "a-answer", "a-check", "answer_1", "")
TYPED = st.text(st.characters(min_codepoint=32, max_codepoint=126, exclude_characters='"\\'), max_size=30)


@given(TYPED, st.sampled_from(["", "\n"]))
def test_what_is_read_at_a_glance_is_what_the_reader_of_cells_says(typed: str, end: str) -> None:
    """The short way gives the same text, whatever plain text stands between the quotes."""
    source = f'answer_1 = "{typed}"\n{PLACE}{end}'
    read = read_answer_cell(source, "answer_1")
    usual = _USUAL.fullmatch(source)
    assert (usual is not None) == bool(typed)
    if usual is not None and typed.strip():
        assert isinstance(read, CellText)
        assert usual["text"] == read.text
    notebook = SubmittedNotebook("p", "s", "t", (TypedCell("code", "a-answer", source),))
    assert bind_answers(notebook, [PLACE_1]) == (Typed(typed if typed.strip() else ""),)
