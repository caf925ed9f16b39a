"""The classes by which the judge is measured."""

from __future__ import annotations

import tomllib

import pytest

from calclib.demo.simulated_students import Planted
from calclib.demo.students.behavior import human_errors
from tests.benchmarks.classes import CLASSES, TABLE, class_of, classes


def test_every_planted_mistake_has_a_class() -> None:
    """A mistake that students make stands in the table, with a reason, and no other."""
    assert set(human_errors()) == set(classes())
    table = tomllib.loads(TABLE.read_text("utf-8"))
    assert tuple(table) == CLASSES
    assert all(reason for rows in table.values() for reason in rows.values())


@pytest.mark.parametrize(
    ("mistake", "expected"),
    [
        ("conversion-forgotten", "core"),
        ("diluent-for-final-volume", "core"),
        ("hundred-borrowed", "core"),
        ("wrong-row", "core"),
        ("digits-swapped-typed", "slip"),
        ("added-for-subtracted", "mechanical"),
        ("guess", "beyond"),
    ],
)
def test_classes_are_as_decided(mistake: str, expected: str) -> None:
    """What students are known to do is core, slips stand by themselves, and a guess is foretold by nothing."""
    assert class_of(Planted("error", mistake, True)) == expected


def test_two_mistakes_at_once_are_double() -> None:
    """Whatever the classes of the two."""
    assert class_of(Planted("error", "guess+wrong-row", False)) == "double"
