"""A hundred set-ups that are right in some form, and a hundred with one thing wrong, over sixteen problems."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import SetupVerdict, judge_setup
from calclib.items import Item, draw_item
from calclib.models import item_model
from calclib.quantity import rounding_policy

TABLE: list[dict[str, Any]] = tomllib.loads(
    Path(__file__).with_name("equivalent_setups.toml").read_text(encoding="utf-8")
)["problem"]


def rows(kind: str) -> list[Any]:
    """Problem and text of each set-up of one kind."""
    found = [(number, text) for number, problem in enumerate(TABLE) for text in problem[kind]]
    return [pytest.param(n, text, id=f"{TABLE[n]['item']}-{text!a}") for n, text in found]


@cache
def problem_item(number: int) -> Item:
    """The item with the numbers of the table."""
    problem = TABLE[number]
    return draw_item(item_model(problem["item"]), "set-up", given=problem["given"])


def judged(number: int, typed: str) -> SetupVerdict:
    """The verdict on one text."""
    problem = TABLE[number]
    return judge_setup(problem_item(number), item_model(problem["item"]), rounding_policy(), problem["part"], typed)


@pytest.mark.parametrize(("number", "typed"), rows("right"))
def test_every_equivalent_form_is_right(number: int, typed: str) -> None:
    """Order, brackets, signs, ratio or formula, conversions inside, the result behind: nothing is held against it."""
    verdict = judged(number, typed)
    assert verdict.verdict in ("explained", "unexplained"), verdict.message
    assert verdict.findings == ()


@pytest.mark.parametrize(("number", "typed"), rows("wrong"))
def test_every_wrong_one_is_found_with_what_is_wrong(number: int, typed: str) -> None:
    """Inverted, missing, extra, wrong number or unit: it is called wrong, and at least one thing is named."""
    verdict = judged(number, typed)
    assert verdict.verdict == "wrong", verdict
    assert verdict.findings


def test_the_table_holds_as_many_as_it_says() -> None:
    """Fifteen problems, a hundred of each kind."""
    assert len(TABLE) == 16
    assert len(rows("right")) >= 100
    assert len(rows("wrong")) >= 100
