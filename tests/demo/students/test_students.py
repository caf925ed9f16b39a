"""Simulated students: deterministic, with planted records that tell the truth."""

from __future__ import annotations

import pytest

from calclib.demo.simulated_students import KINDS
from calclib.demo.students.behavior import human_errors, rate
from calclib.demo.students.figures import NotUnderstoodError
from calclib.items import draw_item
from calclib.models import bank
from tests.demo.problems import questions
from tests.items.drawn import drawn_items
from tests.oracle.students import error_free_answers, planted_error, possible_mistakes, simulated_answers


def class_answers(model_id: str, count: int) -> list[tuple[str, str]]:
    """(kind, text) of the first part, typed by so many students."""
    item = draw_item(bank()[model_id], "class")
    asked = questions(item)
    typed = [simulated_answers(f"student {n}", model_id, item.in_words, asked)[0] for n in range(count)]
    return [(one.planted.kind, one.text) for one in typed]


def test_same_seed_same_answers() -> None:
    """A student and a problem decide every text."""
    assert class_answers("drop-rate", 20) == class_answers("drop-rate", 20)


def test_students_differ() -> None:
    """Students differ in what they type."""
    assert len({text for _, text in class_answers("titrated-rate", 30)}) > 10


def test_rates_follow_the_source() -> None:
    """Over many students the share of right answers comes near the published one."""
    kinds = [kind for kind, _ in class_answers("oral-liquid-volume", 300)]
    right = sum(kind in ("right", "notation", "unit", "unread") for kind in kinds) / len(kinds)
    assert abs(right - float(rate("oral-liquid-volume").right)) < 0.08


def test_kinds_are_of_the_list() -> None:
    """Every planted record is of a kind and, where it is an error, of a mistake of the lists."""
    for model in bank().values():
        item = drawn_items(model.id)[0]
        for answer in simulated_answers("somebody", model.id, item.in_words, questions(item)):
            assert answer.planted.kind in KINDS
            if answer.planted.kind in ("error", "carried"):
                assert set(answer.planted.error.split("+")) <= set(human_errors())


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_planted_mistake_changes_an_answer(model_id: str) -> None:
    """A mistake planted on demand changes a text, or nothing is planted."""
    item = drawn_items(model_id)[0]
    asked = questions(item)
    plain = error_free_answers(model_id, item.in_words, asked)
    for error in sorted({opening.error for opening in possible_mistakes(model_id, item.in_words, asked)}):
        typed = planted_error(model_id, item.in_words, asked, error)
        if typed is not None:
            assert [a.text for a in typed] != [a.text for a in plain], error
            assert next(a.planted.error for a in typed if a.planted.kind == "error") == error


def test_every_mistake_can_be_made() -> None:
    """No mistake of the list is dead: each can be made in some problem."""
    made = set()
    for model in bank().values():
        item = drawn_items(model.id)[0]
        made |= {opening.error for opening in possible_mistakes(model.id, item.in_words, questions(item))}
    assert made == set(human_errors())


def test_unknown_problem_is_refused() -> None:
    """A kind of problem that nobody has learned is an error, not a guess."""
    with pytest.raises(NotUnderstoodError, match="no-such-problem"):
        simulated_answers("somebody", "no-such-problem", "", ())
