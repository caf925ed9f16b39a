"""Typed set-ups: what is right, right but unexplained, or wrong, and what is found."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import SetupVerdict, judge_setup
from calclib.items import Item, draw_item
from calclib.models import item_model
from calclib.quantity import rounding_policy

TABLE = tomllib.loads((Path(__file__).parent / "typed_setups.toml").read_text(encoding="utf-8"))["problem"]
ROWS = [(number, row) for number, problem in enumerate(TABLE) for row in problem["rows"]]


@cache
def problem_item(number: int) -> Item:
    """The item of one problem of the table."""
    problem = TABLE[number]
    return draw_item(item_model(problem["item"]), "set-up", given=problem["given"])


def judged(number: int, typed: str) -> SetupVerdict:
    """The verdict on one text."""
    problem = TABLE[number]
    return judge_setup(problem_item(number), item_model(problem["item"]), rounding_policy(), problem["part"], typed)


@pytest.mark.parametrize(("number", "row"), [pytest.param(n, r, id=f"{n}-{r['typed']!a}") for n, r in ROWS])
def test_a_set_up_gets_the_verdict_that_the_table_decides(number: int, row: dict[str, Any]) -> None:
    """Verdict and findings of each text are those decided by hand; a wrong one always says something."""
    verdict = judged(number, row["typed"])
    assert verdict.verdict == row["verdict"], verdict
    if "found" in row:
        assert [f"{f.kind}: {f.what}" for f in verdict.findings] == row["found"]
    assert row.get("says", "") in verdict.message
    assert verdict.message


@pytest.mark.parametrize(("number", "row"), [pytest.param(n, r, id=f"{n}-{r['typed']!a}") for n, r in ROWS])
def test_no_message_on_a_set_up_gives_the_answer_away(number: int, row: dict[str, Any]) -> None:
    """A set-up can be judged before the answer is given, so the answer is never in the message."""
    item, problem = problem_item(number), TABLE[number]
    answer = item.part(problem["part"]).answer
    if answer.split(" ")[0] not in row["typed"] and answer not in item.stem:
        assert answer not in judged(number, row["typed"]).message


def test_cancelled_units_are_struck_out() -> None:
    """A unit above the line strikes out one below; what is left is the unit of the answer."""
    latex = judged(0, "1000 mL / 8 h x 15 gtt/mL x 1 h/60 min").latex
    assert latex == (
        r"\frac{1{,}000\ \cancel{\text{mL}}}{8\ \cancel{\text{h}}} \times "
        r"\frac{15\ \text{gtt}}{\cancel{\text{mL}}} \times \frac{1\ \cancel{\text{h}}}{60\ \text{min}}"
    )


def test_a_unit_that_does_not_cancel_is_not_struck_out() -> None:
    """Without the conversion hours stay."""
    latex = judged(0, "1000 mL / 8 h x 15 gtt/mL").latex
    assert r"\cancel{\text{h}}" not in latex
    assert latex.count(r"\cancel{\text{mL}}") == 2


def test_latex_is_balanced_and_holds_no_text_as_typed() -> None:
    """Mathematics is built from what was read, so every bracket closes."""
    for number, row in ROWS:
        latex = judged(number, row["typed"]).latex
        assert latex.count("{") == latex.count("}"), latex
        assert latex.count(r"\left(") == latex.count(r"\right)")
        assert "<" not in latex
        assert "$" not in latex


@pytest.mark.parametrize("model", ["drop-rate", "titrated-rate", "weight-dose-volume"])
def test_another_conversion_that_the_policy_allows_is_no_mistake(model: str) -> None:
    """Only a conversion that the stem prints is the only right one."""
    item = draw_item(item_model(model), "conversion")
    for name, text in item.equivalences.items():
        assert Fraction(text) > 0, name


def test_the_problem_of_another_draw_is_not_remembered_for_this_one() -> None:
    """Two draws of one model are judged by their own numbers."""
    model = item_model("drop-rate")
    first = draw_item(model, "1", given={"volume": "1000 mL", "time": "8 h", "drop_factor": "15 gtt/mL"})
    second = draw_item(model, "1", given={"volume": "500 mL", "time": "4 h", "drop_factor": "10 gtt/mL"})
    typed = "1000 mL / 8 h x 15 gtt/mL x 1 h/60 min"
    policy = rounding_policy()
    assert judge_setup(first, model, policy, "drops", typed).verdict == "explained"
    assert judge_setup(second, model, policy, "drops", typed).verdict == "wrong"
