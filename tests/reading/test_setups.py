from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.reading import (
    Equation,
    Number,
    Quotient,
    SetupReading,
    Unknown,
    Unread,
    read_answer,
    read_setup,
    tree_value,
)

SETUPS = tomllib.loads((Path(__file__).parent / "typed_setups.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", [pytest.param(row, id=ascii(row["typed"])) for row in SETUPS["read"]])
def test_a_typed_set_up_is_read_as_decided(row: dict[str, Any]) -> None:
    """The tree of each text, shown in safe notation, is the one that the table decides; so is its value."""
    reading = read_setup(row["typed"])
    assert isinstance(reading, SetupReading)
    assert reading.shown == row["reads"]
    if "value" in row:
        assert not isinstance(reading.tree, Equation)
        value, unit = tree_value(reading.tree)
        number, _, name = row["value"].partition(" ")
        assert value == Fraction(number.replace(",", ""))
        top, *bottom = name.split("/")
        assert dict(unit) == {word: 1 for word in [top] if word} | dict.fromkeys(bottom, -1)


@pytest.mark.parametrize("row", [pytest.param(row, id=ascii(row["typed"])) for row in SETUPS["unread"]])
def test_a_set_up_without_one_reading_says_where_it_stops(row: dict[str, Any]) -> None:
    """Where brackets are needed to tell what is divided, or a word is unknown, nothing is guessed."""
    reading = read_setup(row["typed"])
    assert isinstance(reading, Unread)
    assert reading.position == row["position"]


def test_a_slash_before_a_unit_belongs_to_the_unit_and_before_a_number_divides() -> None:
    """15 gtt/mL is one quantity, 1 h/60 min a quotient of two."""
    one, two = read_setup("15 gtt/mL"), read_setup("1 h/60 min")
    assert isinstance(one, SetupReading)
    assert one.tree == Number(Fraction(15), 0, (("gtt", 1), ("mL", -1)), "15 gtt/mL", 0)
    assert isinstance(two, SetupReading)
    assert isinstance(two.tree, Quotient)
    assert two.tree.top == Number(Fraction(1), 0, (("h", 1),), "1 h", 0)
    assert two.tree.bottom == Number(Fraction(60), 0, (("min", 1),), "60 min", 4)


def test_a_proportion_keeps_its_unknown_and_its_sides() -> None:
    """The tree of a proportion says where x stands."""
    reading = read_setup("5 mL : 250 mg = x : 400 mg")
    assert isinstance(reading, SetupReading)
    assert isinstance(reading.tree, Equation)
    left, right = reading.tree.sides
    assert isinstance(left, Quotient)
    assert left.sign == ":"
    assert isinstance(right, Quotient)
    assert right.top == Unknown((), 16)


def test_places_in_the_tree_are_places_in_the_typed_text() -> None:
    """A sign that stands for several characters doesn't move what follows."""
    reading = read_setup("½ tab × 500 mg/tab")
    assert isinstance(reading, SetupReading)
    assert reading.shown == "0.5 tab × 500 mg/tab"
    assert [factor.position for factor in reading.tree.factors] == [0, 8]  # type: ignore[union-attr]


@pytest.mark.parametrize("row", [pytest.param(row, id=ascii(row["typed"])) for row in SETUPS["read"] if "value" in row])
def test_a_set_up_given_as_an_answer_has_the_same_value(row: dict[str, Any]) -> None:
    """Where the reader of answers accepts a set-up, it computes what the tree says."""
    reading, answer = read_setup(row["typed"]), read_answer(row["typed"], "quantity")
    assert isinstance(reading, SetupReading)
    assert not isinstance(reading.tree, Equation)
    if not isinstance(answer, Unread):
        assert answer.value == tree_value(reading.tree)[0]  # type: ignore[union-attr]
