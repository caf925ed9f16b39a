"""What each question of a lesson holds."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.formulary import Order, Patient, Route, amount, order_findings
from calclib.items import draw_item
from calclib.lessons import Question, lesson, lesson_names
from calclib.lessons.reader import lesson_from_text
from calclib.lessons.records import StatedOrder
from calclib.models import item_model
from calclib.sources import source

QUESTIONS = [(name, question) for name in lesson_names() for question in lesson(name).questions.values()]
ORDERS = [(name, order) for name in lesson_names() for order in lesson(name).orders]
AMOUNTS = ("dose", "flow", "time", "interval", "rate")
ROUTES = {"by mouth": Route.ORAL, "IV": Route.IV, "IM": Route.IM, "subcut": Route.SC}
every_question = pytest.mark.parametrize(("name", "question"), QUESTIONS, ids=lambda one: getattr(one, "name", one))


@every_question
def test_every_choice_says_why(name: str, question: Question) -> None:
    """Each choice, right or wrong, has a reason of its own; one is right; and there is an explanation."""
    assert question.explains
    if question.problem is None:
        assert question.ask
        assert len(question.choices) >= 2
        assert sum(choice.right for choice in question.choices) == 1
        assert all(len(choice.why) > 10 for choice in question.choices)
        assert len({choice.why for choice in question.choices}) == len(question.choices)


@every_question
def test_the_question_does_not_hold_its_explanation(name: str, question: Question) -> None:
    """What is asked gives no reason of a choice away."""
    asked = " ".join(question.ask)
    assert not any(choice.why in asked for choice in question.choices)


@every_question
def test_a_question_holds_no_markup(name: str, question: Question) -> None:
    """Its words are shown as they stand: a star or a backtick would be read."""
    told = [*question.ask, *question.explains, *(text for one in question.choices for text in (one.says, one.why))]
    assert [text for text in told if re.search(r"[*`]", text)] == []


@every_question
def test_a_problem_can_be_drawn_and_is_sound(name: str, question: Question) -> None:
    """A typed answer is judged by a problem that is fair, has the part, and orders nothing beyond the formulary."""
    if question.problem is None:
        return
    problem = question.problem
    item = draw_item(item_model(problem.model), "a test", given=dict(problem.given))
    assert item.fair or problem.model == "time-between"  # whose other part, not asked here, lies on a tie
    assert item.unusual == ()
    assert problem.part == "" or item.part(problem.part)


@pytest.mark.parametrize("name", lesson_names())
def test_every_lesson_has_an_order_to_question(name: str) -> None:
    """Its right answer carries nothing out, and somebody is called."""
    found = [question for question in lesson(name).questions.values() if question.order_to_question]
    assert found
    for question in found:
        (right,) = [choice for choice in question.choices if choice.right]
        assert re.search(r"\b[Cc]all\b", right.says)
        assert not right.says.startswith(("Give", "Enter", "Set", "Run"))


@pytest.mark.parametrize("name", lesson_names())
def test_the_right_choice_has_no_fixed_place(name: str) -> None:
    """Who always takes the first choice, or the longest, does not pass."""
    choices = [question.choices for question in lesson(name).questions.values() if question.choices]
    places = [next(i for i, choice in enumerate(of) if choice.right) for of in choices]
    longest = [max(of, key=lambda choice: len(choice.says)).right for of in choices]
    assert max(places.count(place) for place in set(places)) <= len(choices) * 3 / 4
    assert sum(longest) <= len(choices) * 3 / 4


@pytest.mark.parametrize("name", lesson_names())
def test_what_a_lesson_cites_exists(name: str) -> None:
    """Each key is one of the sources."""
    keys = {*lesson(name).sources, *(key for question in lesson(name).questions.values() for key in question.sources)}
    assert all(source(key).cite() for key in keys)


@pytest.mark.parametrize(("name", "order"), ORDERS, ids=lambda one: getattr(one, "text", one))
def test_orders_are_held_against_the_formulary(name: str, order: StatedOrder) -> None:
    """An order of the ward is sound; one that is there to be questioned goes beyond a figure."""
    fields = order.fields
    found = order_findings(
        Order(
            drug=fields["drug"],
            routes=(ROUTES[fields["route"]],),
            patient=Patient(
                weight=Fraction(fields["weight"].removesuffix(" kg")) if "weight" in fields else None,
                conditions=(fields["condition"],) if "condition" in fields else (),
            ),
            doses_a_day=Fraction(fields["doses_a_day"]) if "doses_a_day" in fields else None,
            **{key: amount(fields[key]) for key in AMOUNTS if key in fields},
        )
    )
    assert (not found) is order.sound


def test_a_book_with_two_right_choices_is_refused() -> None:
    """Whoever writes a question with none or two right choices is told which question it is."""
    text = """
    number = 1
    title = "A lesson"
    teaches = []
    sources = []
    [[question]]
    name = "both"
    ask = "Which?"
    choice = [{ says = "a", why = "b", right = true }, { says = "c", why = "d", right = true }]
    """
    with pytest.raises(BadInput, match="both"):
        lesson_from_text("a", text)


def test_an_unknown_question_is_said() -> None:
    """A name that the lesson has not is named, with those that it has."""
    with pytest.raises(BadInput, match="no question “nothing”"):
        lesson("measures").question("nothing")
