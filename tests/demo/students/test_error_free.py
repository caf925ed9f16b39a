"""The student that never errs, against the engine: two programs that know nothing of each other agree."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.demo.students.behavior import rate
from calclib.demo.students.worksheet import TimeOfDay
from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.models import bank
from tests.demo.problems import questions
from tests.items.drawn import drawn_items
from tests.oracle.students import PROCEDURES, error_free_answers, worked

FEW, MANY = 2, 2_000


def disagreements(item: Item) -> list[str]:
    """Parts for which the student's answer is not the key, in words."""
    answers = worked(item.model_id, item.in_words, questions(item)).answers
    found = []
    for part in item.parts:
        own = answers[part.name]
        if part.kind == "setup":
            same = judge_item(item, {part.name: str(own)}, marking_policy("strict-exam"))[0].score == 1
        elif isinstance(own, str):
            same = own == part.accepted_choice
        elif isinstance(own, TimeOfDay):
            same = Fraction(own.minutes) == part.key
        else:
            same = Fraction(own) == part.key
        if not same:
            found.append(f"{item.model_id} {item.seed} {part.name}: {own} is not {part.answer}; {item.in_words}")
    return found


def in_agreement(model_id: str, draws: int) -> None:
    """Hold that the student agrees with the key in so many draws of a model."""
    model = bank()[model_id]
    for item in drawn_items(model_id):
        assert disagreements(item) == []
    for n in range(draws):
        assert disagreements(draw_item(model, f"cross-check {n}")) == []


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_answers_agree_with_the_key(model_id: str) -> None:
    """Worked from the stem alone, in decimals and by a nurse's procedure, each answer equals the key."""
    in_agreement(model_id, FEW)


@pytest.mark.full
@pytest.mark.parametrize("model_id", sorted(bank()))
def test_answers_agree_with_the_key_in_many_draws(model_id: str) -> None:
    """The same in thousands of draws."""
    in_agreement(model_id, MANY)


# "kilograms-first" is not among them: that the weight is rounded on the way is not printed in a problem.
@pytest.mark.parametrize("policy", ["children-cut-off", "pump-tenths", "hundredths-below-one", "ties-to-even"])
def test_answers_agree_under_other_policies(policy: str) -> None:
    """The student reads the printed rule, so that the answers agree under other rounding policies too."""
    from calclib.quantity import rounding_policy

    wrong: list[str] = []
    for model in bank().values():
        try:
            item = draw_item(model, "another policy", policy=rounding_policy(policy))
        except BadInput:  # some models find no fair draw under some policies; that is tested elsewhere
            continue
        wrong += disagreements(item)
    assert wrong == []


def test_every_item_model_is_known() -> None:
    """Every item model of the bank has a procedure and a row of error rates, and no row is left over."""
    assert set(PROCEDURES) == set(bank())
    for model_id in bank():
        assert 0 < rate(model_id).right < 1


def test_plainest_writing_is_the_key() -> None:
    """Without a seed the student writes the answer as the key is printed."""
    item = draw_item(bank()["pump-rate"], "plain")
    (answer,) = error_free_answers("pump-rate", item.in_words, questions(item))
    assert answer.text == item.parts[0].answer
