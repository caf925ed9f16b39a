"""A digit is said to be misread only where it can be."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.answers.diagnosis.miscopied import miscopied_values
from calclib.items.drawing import draw_item
from calclib.models import bank

# 900 mL over 6 h run at 150 mL/h.
ITEM = draw_item(bank()["pump-rate"], "miscopied", given={"volume": "900 mL", "time": "6 h"})


@pytest.mark.parametrize(
    ("typed", "copied"),
    [
        ("113", {("6", "8")}),  # 900 / 8 = 112.5
        ("300", set()),  # twice as much: 6 is not taken for 3
        ("75", set()),  # half: no digit of 900 or 6 makes it
        ("1500", set()),  # ten times as much
    ],
)
def test_a_digit_that_can_be_misread_is_named(typed: str, copied: set[tuple[str, str]]) -> None:
    """A plain factor of 2 or 10 is no misread digit unless the two digits look alike; any other may be."""
    (part,) = ITEM.parts
    found = miscopied_values(part, Fraction(typed), Fraction(1), ITEM.givens)

    assert {(numeral, read) for _, numeral, read in found} == copied
