"""Every published worked example that an item model covers, drawn with the source's own numbers."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from calclib.items import draw_item, item_model
from calclib.quantity.policies import rounding_policy
from calclib.sources import source

HERE = Path(__file__).parent / "worked_examples"


def examples(topic: str) -> list[dict[str, Any]]:
    """The examples of one file."""
    found: list[dict[str, Any]] = tomllib.loads((HERE / f"{topic}.toml").read_text(encoding="utf-8"))["example"]
    return found


TOPICS = sorted(path.stem for path in HERE.glob("*.toml") if path.stem != "not_covered")
ALL = [example for topic in TOPICS for example in examples(topic)]
NUMBERS = [example for example in ALL if example["part"] not in ("verdict", "end")]


WORDS = {"pill": "tablet", "degF": "degrees F", "degC": "degrees C"}


def answer(example: dict[str, Any]) -> str:
    """Our answer to the example's question, as it is written."""
    item = draw_item(
        item_model(example["item"]),
        example["id"],
        policy=rounding_policy(example["policy"]),
        given=example["given"],
        use=example.get("use", {}),
    )
    part = next(part for part in item.parts if part.name == example["part"])
    printed = WORDS.get(example["unit"], example["unit"])
    assert part.kind != "quantity" or part.unit.removesuffix("/day") == printed.removesuffix("/day")
    return part.answer


def ids(example: dict[str, Any]) -> str:
    """Names a test by the example's id."""
    return str(example["id"])


@pytest.mark.parametrize("example", NUMBERS, ids=ids)
def test_our_answer_has_the_printed_digits(example: dict[str, Any]) -> None:
    """With the source's numbers and its rounding our answer has the digits that it prints, or the file says why not."""
    number = answer(example).replace(",", "").partition(" ")[0].removesuffix("%")

    if example.get("agrees", True):
        assert number == example["printed"]
    else:
        assert example["reason"]
        assert number == example["computed"] != example["printed"]


@pytest.mark.parametrize("example", [example for example in ALL if example["part"] == "end"], ids=ids)
def test_our_clock_shows_the_printed_time(example: dict[str, Any]) -> None:
    """An infusion ends at the time that the source prints."""
    assert answer(example) == example["printed"]


@pytest.mark.parametrize("example", [example for example in ALL if example["part"] == "verdict"], ids=ids)
def test_an_order_is_judged_as_printed(example: dict[str, Any]) -> None:
    """An order lies within the range where the source says so."""
    assert example["printed"] in answer(example)


def test_each_example_stands_once_with_a_known_source() -> None:
    """No example is both computed and left out, and every source is in the catalogue."""
    names = [example["id"] for example in (*ALL, *examples("not_covered"))]

    assert sorted(set(names)) == sorted(names)
    assert all(source(example["source"]) for example in ALL)
