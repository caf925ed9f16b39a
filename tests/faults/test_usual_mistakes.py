"""The usual mistakes of a calculation lead to the numbers that an instructor expects."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.items import Item, draw_item
from calclib.models import item_model


def item(name: str, **given: str) -> Item:
    """An item with a teacher's numbers."""
    return draw_item(item_model(name), "mistakes", given=given)


DROPS = item("drop-rate", volume="1000 mL", time="8 h", drop_factor="15 gtt/mL")
TITRATED = item("titrated-rate", dose="5 mcg/kg/min", weight="176 lb", concentration="400 mg in 250 mL")
VOLUME = item("injection-volume", order="41 mg", strength="50 mg/mL")
WEIGHED = item("pounds-to-kilograms", weight="176 lb")
FLUID = item("maintenance-fluid-rate", weight="22.6 kg")
ENDING = item("infusion-end-time", volume="500 mL", rate="100 mL/h", start="2130")
MAXIMUM = item("maximum-dose", dose="50 mg/kg", weight="25 kg", maximum="1 g", strength="250 mg/mL")

MISTAKES = [
    (DROPS, "drops", "used unconverted", 1875),  # 8 h taken as 8 min
    (DROPS, "drops", "wrong value", 21),  # 10 gtt/mL
    (DROPS, "drops", "left out", 2),
    (DROPS, "drops", "decimal slip", 313),
    (TITRATED, "rate", "used unconverted", 33),
    (TITRATED, "rate", "conversion left out", "0.25"),
    (TITRATED, "rate", "left out", "0.188"),
    (VOLUME, "volume", "divided the wrong way", "1.2"),
    (WEIGHED, "kilograms", "conversion inverted", "387.2"),
    (FLUID, "rate", "one rate for all", 23),
    (FLUID, "rate", "first rate only", 90),
    (ENDING, "end", "counted backwards", 990),  # 1630
    (MAXIMUM, "amount", "limit ignored", 1250),
]


@pytest.mark.parametrize(("drawn", "part", "kind", "number"), MISTAKES)
def test_a_usual_mistake_has_its_number(drawn: Item, part: str, kind: str, number: int | str) -> None:
    """Each mistake is enumerated with the number that it leads to, written as the rule asks."""
    found = [f for f in drawn.part(part).faults if kind in (f.fault, *f.also) and f.written == Fraction(number)]

    assert found, [(f.fault, f.given, str(f.written)) for f in drawn.part(part).faults]


def test_the_same_mistakes_whatever_was_drawn_before() -> None:
    """An item does not hang on the items that were drawn before it in the same process."""
    from calclib.items.mistakes import fault_classes

    model = item_model("body-surface-dose")
    alone = draw_item(model, "order")
    fault_classes._static_groups.cache_clear()
    for seed in ("other", "yet another", "a third"):
        draw_item(model, seed)

    assert draw_item(model, "order") == alone
