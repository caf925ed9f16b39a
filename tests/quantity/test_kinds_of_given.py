"""The kinds of given: each is described once, and everything else is read from that."""

from __future__ import annotations

import ast

import pytest

from calclib.errors.messages import BadInput
from calclib.models.model import Choices, GivenModel
from calclib.models.stated import read_stated
from calclib.quantity.kinds import GivenKind, given_kinds
from calclib.quantity.units import parse_unit
from tests.layers.source_files import source_files

NUMBERS = [kind for kind in given_kinds().values() if kind.units]
NOT_CONVERTED = {"duration": ("yr",), "temperature": ("degF",)}
"""Working units in which alone a value is read: nobody converts an age to hours."""


def declared(kind: GivenKind, unit: str) -> GivenModel:
    """A given of a kind with a working unit."""
    return GivenModel(
        "x", kind.name, parse_unit(unit, kind.name) if unit else parse_unit(""), Choices(("1",)), says="x"
    )


def reads(kind: GivenKind, text: str) -> bool:
    """Whether a given of the kind, in one of its units, may be written so."""
    for unit in (*kind.units, *NOT_CONVERTED.get(kind.name, ())):
        try:
            read_stated(declared(kind, unit), text)
        except BadInput:
            continue
        return True
    return False


def test_no_module_lists_the_kinds() -> None:
    """A module that names three kinds or more in one list tells again what kinds.toml says."""
    lists = []
    for file in source_files():
        for node in ast.walk(file.tree):
            parts = node.keys if isinstance(node, ast.Dict) else getattr(node, "elts", [])
            words = {part.value for part in parts if isinstance(part, ast.Constant) and isinstance(part.value, str)}
            if len(words & set(given_kinds())) >= 3:
                lists.append((file.path.name, sorted(words & set(given_kinds()))))
    # The first two sort units by what they measure and bound rounding rules, which have names of their own.
    assert lists == [
        ("stated_rounding.py", ["clock", "count", "drop_rate", "tablets", "temperature"]),
        ("units.py", ["drops", "tablets", "volume"]),
    ]


@pytest.mark.parametrize("kind", NUMBERS, ids=lambda kind: kind.name)
def test_a_kind_is_read_as_its_examples_show(kind: GivenKind) -> None:
    """Each example is read for one of the kind's units, and so is 0 exactly where there may be none."""
    assert [text for text in kind.examples if not reads(kind, text)] == []
    assert reads(kind, f"0 {kind.units[0]}".replace("_drug", "").strip()) == kind.zero
    assert reads(kind, f"-1 {kind.units[0]}".replace("_drug", "").strip()) == kind.negative


def test_those_that_may_be_none() -> None:
    """There may be no fluid, no share, no background dose, but never no drug."""
    assert sorted(k.name for k in NUMBERS if k.zero) == ["dose_rate", "number", "percent", "temperature", "volume"]
    assert sorted(k.name for k in NUMBERS if k.negative) == ["number", "temperature"]
