"""Problems as books state them: every form of a given is taken, and the answer has the digits that a book prints."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from calclib.errors.messages import BadInput
from calclib.items import draw_item
from calclib.models import bank, item_model
from calclib.models.stated import read_stated
from calclib.quantity.kinds import given_kinds
from calclib.quantity.policies import rounding_policy

PROBLEMS: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "book_problems.toml").read_text(encoding="utf-8")
)["problem"]


def answer(problem: dict[str, Any]) -> str:
    """Our answer to a problem."""
    item = draw_item(
        item_model(problem["item"]),
        "book",
        policy=rounding_policy(problem.get("policy", "tenths-and-wholes")),
        given=problem["given"],
        use=problem.get("use", {}),
    )
    return item.part(problem["part"]).answer


@pytest.mark.parametrize("model", sorted({problem["item"] for problem in PROBLEMS}))
def test_a_problem_has_the_answer_of_a_book(model: str) -> None:
    """Stated as books do, with a rounding policy that rounds as they do, a problem has their answer."""
    problems = [problem for problem in PROBLEMS if problem["item"] == model]

    assert [answer(problem) for problem in problems] == [problem["answer"] for problem in problems]


@pytest.mark.parametrize("model", sorted(bank()))
def test_every_given_says_how_it_is_written(model: str) -> None:
    """For every given of the bank a refusal can name a form, and each form that it names is taken."""
    for given in bank()[model].givens.values():
        if given.unit is None or given.role in ("column", "hidden"):
            continue
        taken = 0
        for text in given_kinds()[given.kind].examples:
            try:
                read_stated(given, text)
            except BadInput:
                continue
            taken += 1
        assert taken, given.name
