"""Mistakes that come to one value by the numbers of a draw alone are told apart."""

from __future__ import annotations

import pytest

from calclib.items import draw_item
from calclib.items.mistakes.fault_classes import DrawnFaults
from calclib.items.solution import rebuilt, recorded_givens
from calclib.models import bank
from calclib.quantity.policies import rounding_policy


@pytest.mark.parametrize("order", ["17 mg", "47 mg"])
def test_a_strength_of_ten_is_no_slip_of_the_decimal_point(order: str) -> None:
    """10 mg/mL left out is ten times the volume, as a slip is; nothing follows, since no syringe holds either."""
    model = bank()["choose-syringe"]
    item = draw_item(model, "1", given={"medicine": "furosemide", "order": order, "strength": "40 mg in 4 mL"})
    ready, values = rebuilt(item, model, rounding_policy(item.policy_name))
    drawn = DrawnFaults(model, ready, recorded_givens(item, model), values)
    kinds = [
        {one.fault.kind, *(other.kind for other in one.others)}
        for one in list(drawn.classes("volume"))
        if one.value == values["volume"] * 10
    ]
    assert {"left out"} in kinds
    assert not any({"left out", "decimal slip"} <= found for found in kinds)
