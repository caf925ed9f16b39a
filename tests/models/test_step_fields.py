"""What the file of an item model may say of a step."""

from __future__ import annotations

import pytest

from calclib.chains.compiling import compiled_step
from calclib.chains.factors import Names
from calclib.errors import BadInput
from calclib.items import draw_item, solution_of
from calclib.models import read_item_model
from calclib.quantity.units import parse_unit
from tests.models.own_model import changed

COMMON = {"name": "rate", "says": "rate", "unit": parse_unit("mL/h"), "quantity": "", "sources": ()}
NAMES = Names({"volume": parse_unit("mL"), "time": parse_unit("h")})

FOREIGN = [
    ("product", {"of": "volume / time", "progressive": True}, "progressive; it takes of"),
    ("product", {"of": "volume / time", "take": "least"}, "take; it takes of"),
    ("sum", {"of": "volume - volume", "low": "volume"}, "low; it takes of"),
    ("limit", {"of": ["volume"], "take": "least", "add": "time"}, "add; it takes of, take"),
    ("round", {"of": "volume", "rule": "tenths", "subtract": "time"}, "subtract; it takes of, rule"),
    ("clock", {"start": "volume", "add": "time", "high": "time"}, "high; it takes add, start, subtract"),
    ("power", {"of": "volume", "exponent": "2", "progressive": False}, "progressive; it takes exponent, of"),
]


@pytest.mark.parametrize(("kind", "fields", "says"), FOREIGN)
def test_a_field_of_another_kind_is_refused(kind: str, fields: dict[str, object], says: str) -> None:
    """A step takes the fields of its own kind alone: one of another would do nothing, and nobody would know."""
    with pytest.raises(BadInput) as said:
        compiled_step(kind, COMMON, fields, NAMES)
    assert said.value.message == f"step rate of kind {kind} has no field {says}"


DISTRACTOR = """[given.{name}]
kind = "volume"
unit = "mL"
draw = ["500", "1000"]
forms = ["L"]
role = "distractor"

[given.order]"""


@pytest.mark.parametrize("name", ["vol", "volum", "bag", "ord"])
def test_a_distractor_gets_no_conversion(name: str) -> None:
    """A stated number that no step uses is not converted, also where its name is a part of a name that one uses."""
    text = changed("[given.order]", DISTRACTOR.replace("{name}", name)).replace(
        "IM once.", f"IM once. A bag holds {{{name}}}."
    )
    model = read_item_model(text, "mine.toml")

    solution = solution_of(draw_item(model, "a"), model)

    assert [step.name for step in solution.chain.steps] == ["volume"]
