"""Every published worked example that an item model covers, drawn with the source's own numbers.

A row's `unit` is the one that the source prints; the item model may ask in another of the same dimension.
"""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.items import Item, ItemPart, draw_item
from calclib.models import item_model
from calclib.quantity.equivalences import bridge_factor, read_equivalences
from calclib.quantity.policies import rounding_policy
from calclib.quantity.units import parse_unit
from calclib.quantity.writing import write_number
from calclib.sources import source
from tests.reference.published import at_printed_digits

HERE = Path(__file__).parent / "worked_examples"


def examples(topic: str) -> list[dict[str, Any]]:
    """The examples of one file."""
    found: list[dict[str, Any]] = tomllib.loads((HERE / f"{topic}.toml").read_text(encoding="utf-8"))["example"]
    return found


TOPICS = sorted(path.stem for path in HERE.glob("*.toml") if path.stem != "not_covered")
ALL = [example for topic in TOPICS for example in examples(topic)]
NUMBERS = [example for example in ALL if example["part"] not in ("verdict", "end")]


STRICT = marking_policy("strict-exam")
WORDS = {"pill": "tablet", "degF": "degrees F", "degC": "degrees C"}


def drawn(example: dict[str, Any]) -> tuple[Item, ItemPart]:
    """The item with the example's numbers, and the part that asks its question."""
    item = draw_item(
        item_model(example["item"]),
        example["id"],
        policy=rounding_policy(example["policy"]),
        given=example["given"],
        use=example.get("use", {}),
    )
    return item, next(part for part in item.parts if part.name == example["part"])


def number_in_printed_unit(example: dict[str, Any]) -> str:
    """Our number as written; where the source prints another unit, the exact value in it to the digits printed."""
    _, part = drawn(example)
    if part.unit.removesuffix("/day") == unit_words(example).removesuffix("/day"):
        return part.answer.replace(",", "").partition(" ")[0].removesuffix("%")
    use = read_equivalences(example.get("use", {}))
    factor = bridge_factor(parse_unit(part.unit), parse_unit(example["unit"]), use)
    assert factor is not None
    assert isinstance(part.exact, Fraction)
    return write_number(at_printed_digits(part.exact * factor, example["printed"])).replace(",", "")


def unit_words(example: dict[str, Any]) -> str:
    """The unit that the source prints, in our words."""
    return WORDS.get(example["unit"], str(example["unit"]))


def ids(example: dict[str, Any]) -> str:
    """Names a test by the example's id."""
    return str(example["id"])


@pytest.mark.parametrize("example", NUMBERS, ids=ids)
def test_our_answer_has_the_printed_digits(example: dict[str, Any]) -> None:
    """With the source's numbers and its rounding our answer has the digits that it prints, or the file says why not."""
    number = number_in_printed_unit(example)

    if example.get("agrees", True):
        assert number == example["printed"]
    else:
        assert example["reason"]
        assert number == example["computed"] != example["printed"]


@pytest.mark.parametrize("example", [example for example in NUMBERS if example.get("agrees", True)], ids=ids)
def test_the_judge_takes_what_is_printed(example: dict[str, Any]) -> None:
    """A student who types the printed answer is right, in the printed unit too."""
    item, part = drawn(example)
    verdicts = judge_item(item, {part.name: f"{example['printed']} {unit_words(example)}"}, STRICT)

    assert [verdict.right for verdict in verdicts if verdict.part == part.name] == [True]


@pytest.mark.parametrize("example", [example for example in ALL if example["part"] == "end"], ids=ids)
def test_our_clock_shows_the_printed_time(example: dict[str, Any]) -> None:
    """An infusion ends at the time that the source prints."""
    _, part = drawn(example)

    assert part.answer == example["printed"]


@pytest.mark.parametrize("example", [example for example in ALL if example["part"] == "verdict"], ids=ids)
def test_an_order_is_judged_as_printed(example: dict[str, Any]) -> None:
    """An order lies within the range where the source says so."""
    _, part = drawn(example)

    assert example["printed"] in part.answer


def test_each_example_stands_once_with_a_known_source() -> None:
    """No example is both computed and left out, and every source is in the catalogue."""
    names = [example["id"] for example in (*ALL, *examples("not_covered"))]

    assert sorted(set(names)) == sorted(names)
    assert all(source(example["source"]) for example in ALL)
