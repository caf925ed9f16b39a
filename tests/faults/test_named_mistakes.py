"""What is said of wrong answers: a table decided by hand, and laws over all item models."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.verdict import Cause
from calclib.chains.chain import Chain
from calclib.chains.kinds.band import Band
from calclib.chains.kinds.between import Between
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.faults.fault import KINDS
from calclib.faults.likelihood import ALWAYS_WRONG, COMMON, CORE, USUAL
from calclib.items import Item, draw_item, solution_of
from calclib.models import item_model
from calclib.quantity.policies import rounding_policy
from calclib.quantity.writing import write_quantity
from calclib.wording import sentence
from tests.items.drawn import MODELS, drawn_items, model

TABLE: list[dict[str, Any]] = tomllib.loads((Path(__file__).parent / "named_mistakes.toml").read_text())["problem"]
ROWS = [(n, row) for n, problem in enumerate(TABLE) for row in problem["rows"]]
HOMEWORK = marking_policy("homework")
SLIP = "slip of the finger"


@cache
def problem_item(number: int) -> Item:
    """The item of one problem of the table."""
    problem = TABLE[number]
    policy = rounding_policy("tenths-and-wholes")
    return draw_item(item_model(problem["item"]), "by hand", given=problem["given"], policy=policy)


def causes(item: Item, part: str, typed: str) -> tuple[Cause, ...]:
    """What is said of one answer."""
    return next(v.causes for v in judge_item(item, {part: typed}, HOMEWORK) if v.part == part)


@pytest.mark.parametrize(("number", "row"), ROWS)
def test_the_mistake_that_an_instructor_sees_is_named_first(number: int, row: dict[str, Any]) -> None:
    """The mistake decided by hand comes first, for certain only where the table says so."""
    found = causes(problem_item(number), TABLE[number]["part"], row["typed"])

    assert [cause.fault for cause in found[:1]] == [row["mistake"]]
    assert found[0].certain == row.get("certain", False)


def kinds_of(item: Item) -> set[str]:
    """The kinds of all mistakes of an item, those that share a number with another among them."""
    return {kind for part in item.parts for fault in part.faults for kind in (fault.fault, *fault.also)}


def allowed(chain: Chain, asked: set[str]) -> set[str]:
    """Misconceptions that the shape of a chain allows wherever its numbers are."""
    found = set()
    for step in chain.steps:
        if not any(chain.depends(name, step.name) for name in asked):
            continue
        if isinstance(step, Between):
            found.add("hour miscounted")
        if isinstance(step, Product) and any(name.endswith("percent_strength") for name in step.inputs):
            found.add("percent misread")
    return found


def test_each_misconception_that_a_model_allows_is_known() -> None:
    """A percentage can be misread and hours miscounted in every model that has them."""
    allowing = 0
    for name in MODELS:
        for item in drawn_items(name):
            solution = solution_of(item, model(name))
            numbers = {solution.asks[p.name] for p in item.parts if p.kind in ("quantity", "clock")}
            expected = allowed(solution.chain, numbers)
            assert expected <= kinds_of(item), name
            allowing += bool(expected)
    assert allowing >= 20


def test_no_draw_calls_a_classic_misconception_right() -> None:
    """Diluent for final volume, or cut by for cut to, never leads to a number less than a step off the key."""
    compared = set()
    for name in MODELS:
        for part in (part for item in drawn_items(name) for part in item.parts if part.kind == "quantity"):
            for fault in part.faults:
                if fault.fault in ALWAYS_WRONG and not fault.spare:
                    assert part.rule is not None and part.exact is not None and fault.value is not None
                    apart = abs(fault.value - part.exact)  # type: ignore[operator]
                    assert fault.hard and apart >= part.rule.step_at(part.exact), name
                    compared.add((name, fault.fault))
    assert {kind for _, kind in compared} == ALWAYS_WRONG


@pytest.mark.parametrize("name", MODELS)
def test_a_slip_stands_alone_and_several_causes_are_questions(name: str) -> None:
    """A slip of the finger never stands where a mistake leads to the number, and of several causes none is certain."""
    item = drawn_items(name)[0]
    for part in item.parts:
        if part.kind != "quantity":
            continue
        for fault in part.faults:
            if fault.written is None or (fault.written * 10**6).denominator != 1:
                continue
            found = causes(item, part.name, write_quantity(fault.written, part.unit))
            assert SLIP not in {cause.fault for cause in found}, fault.says
            assert len(found) == 1 or not any(cause.certain for cause in found), fault.says
            assert not (found and found[0].certain) or found[0].fault in USUAL


def test_the_lists_of_kinds_agree() -> None:
    """What may be said for certain, asked for two at once, or refuses a draw is a known kind."""
    assert set(COMMON) - set(USUAL) == {"divided the wrong way"}
    assert set(COMMON) | set(USUAL) <= set(KINDS)
    assert ALWAYS_WRONG <= CORE <= set(COMMON) | set(USUAL)


def test_rows_and_bands_are_mistaken_in_every_table() -> None:
    """The next row of a table, and the whole weight for the rest, are known wherever they lead to a number."""
    tables = bands = 0
    for name in MODELS:
        item = drawn_items(name)[0]
        solution = solution_of(item, model(name))
        asked = [solution.asks[p.name] for p in item.parts if p.kind == "quantity"]
        for step in solution.chain.steps:
            if any(solution.chain.depends(a, step.name) for a in asked):
                tables += isinstance(step, Lookup) and "wrong row" in kinds_of(item)
                bands += isinstance(step, Band) and "rest not taken" in kinds_of(item)
    assert tables > 10
    assert bands > 0


def test_numbers_by_which_a_misconception_is_called_right_are_named() -> None:
    """250 mg at 249 mg/mL: whoever divides the wrong way around comes to 0.996 mL, and 1 mL is right."""
    item = draw_item(item_model("injection-volume"), "one", given={"order": "250 mg", "strength": "249 mg/mL"})
    assert [sentence(why) for why in item.why] == [
        (
            "part volume to draw up: “the division that gives the volume to draw up was set up the wrong way around” "
            "leads to an answer that is called right"
        )
    ]
