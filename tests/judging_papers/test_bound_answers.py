from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.collecting.submitted_notebook import SubmittedNotebook, TypedCell
from calclib.gradebook.notebook import AnswerPlace
from calclib.judging_papers.bound_answers import Typed, Unclear, bind_answers
from calclib.reading import BEHIND, PLACE

PLACE_1 = AnswerPlace(1, "x", "quantity", Fraction(1), "a-answer", "a-check", "answer_1", "")
TYPED = st.text(st.characters(min_codepoint=32, max_codepoint=126, exclude_characters='"\\'), max_size=30)


@given(TYPED, st.sampled_from(["", "\n"]))
def test_a_plain_text_between_the_quotes_is_the_answer(typed: str, end: str) -> None:
    """Plain text typed into the cell as it was handed out is what is marked; blanks alone are no answer."""
    source = f'answer_1 = "{typed}"\n{PLACE}{end}'
    notebook = SubmittedNotebook("p", "s", "t", (TypedCell("code", "a-answer", source),))
    assert bind_answers(notebook, [PLACE_1]) == (Typed(typed if typed.strip() else ""),)


@pytest.mark.parametrize(
    "source",
    [
        'answer_1 = ""  # 79 gtt/min',
        f'answer_1 = ""\n{PLACE}\n# 79 gtt/min',
        f'# 79 gtt/min\nanswer_1 = ""\n{PLACE}',
        f'answer_1 = ""\n{PLACE} 79 gtt/min',
        '#answer_1 = "79 gtt/min"',
        "# clamp the line first",
        'answer_1 = ""  # B',
    ],
)
def test_an_answer_behind_a_hash_waits_for_a_person(source: str) -> None:
    """It is no blank, and no answer either."""
    notebook = SubmittedNotebook("p", "s", "t", (TypedCell("code", "a-answer", source),))
    (found,) = bind_answers(notebook, [PLACE_1])
    assert isinstance(found, Unclear)
    assert found.reason == BEHIND
    assert any(word in found.text for word in ("79", "clamp", "B"))


@pytest.mark.parametrize(
    "source",
    [
        f'answer_1 = ""\n{PLACE}',
        f'answer_1 = ""\n{PLACE}\n{PLACE}',
        f'answer_1 = ""\n{PLACE[:20]}',
        f'# answer_1 = ""\n{PLACE}',
        'answer_1 = ""\n### BEGIN SOLUTION\n### END SOLUTION',
        'answer_1 = ""  #\n# ---',
    ],
)
def test_the_notebooks_own_comments_are_no_answer(source: str) -> None:
    """A cell as it was handed out stays blank, also where its comment was cut short or doubled."""
    notebook = SubmittedNotebook("p", "s", "t", (TypedCell("code", "a-answer", source),))
    assert bind_answers(notebook, [PLACE_1]) == (Typed(""),)


@pytest.mark.parametrize("source", ['answer_1 = "79 gtt/min"  # or 80?', '# 80\nanswer_1 = "79 gtt/min"'])
def test_a_comment_beside_an_answer_is_passed_over(source: str) -> None:
    """What is typed between the quotes counts."""
    notebook = SubmittedNotebook("p", "s", "t", (TypedCell("code", "a-answer", source),))
    assert bind_answers(notebook, [PLACE_1]) == (Typed("79 gtt/min"),)


HANDED_OUT = (
    TypedCell("markdown", "a-q1-stem", "Give 500 mL."),
    TypedCell("code", "a-answer", 'answer_1 = ""'),
    TypedCell("code", "a-check", "show_answer()"),
    TypedCell("markdown", "a-q2-stem", "Give 250 mL."),
)


@pytest.mark.parametrize(
    ("place", "source", "waits"),
    [
        (2, "My answer is 22 gtt/min", True),
        (3, "My answer is 22 gtt/min", True),
        (2, "I don't know.", False),
        (1, "500 mL over 8 h", True),
        (2, "clamp the line", True),
        (4, "See page 12", False),
    ],
)
def test_a_text_right_beside_a_blank_answer_waits(place: int, source: str, waits: bool) -> None:
    """A text cell that was handed out is none of the student's, and one of another problem is its own."""
    own = TypedCell("markdown", "1a2b3c4d", source)
    notebook = SubmittedNotebook("p", "s", "t", (*HANDED_OUT[:place], own, *HANDED_OUT[place:]))
    (found,) = bind_answers(notebook, [PLACE_1])
    assert isinstance(found, Unclear) == waits
    if isinstance(found, Unclear):
        assert found.text == source


def test_a_text_behind_an_answer_is_passed_over() -> None:
    """Working beside an answer that was typed is nobody's concern."""
    typed = TypedCell("code", "a-answer", 'answer_1 = "22 gtt/min"')
    notebook = SubmittedNotebook("p", "s", "t", (typed, TypedCell("markdown", "1a2b3c4d", "500 x 20 / 480")))
    assert bind_answers(notebook, [PLACE_1]) == (Typed("22 gtt/min"),)
