"""Texts from outside cost no more than they are long."""

from __future__ import annotations

import pytest

from calclib.errors.messages import BadInput
from calclib.quantity.equivalences import equivalences, exact_number, read_equivalence
from calclib.quantity.units import parse_unit


@pytest.mark.parametrize(
    "text", ["1e999999999", "1E9", "9" * 5000, "1/9e99999999", "-1", "0x10", "1_000", "٢", "", "nan"]
)
def test_a_number_is_digits(text: str) -> None:
    """A power of ten, a sign or a number of a thousand digits is refused before it is worked out."""
    with pytest.raises(ValueError, match="not a number"):
        exact_number(text)
    with pytest.raises(BadInput):
        read_equivalence("lb_per_kg", text)


def test_all_equivalences_are_read() -> None:
    """Every number that ships has the form that is asked of others."""
    assert all(equivalence.value > 0 for equivalence in equivalences().values())


def test_a_unit_is_short() -> None:
    """A unit of thirty ambiguous words, which has a thousand million readings, is refused at once."""
    with pytest.raises(BadInput, match="8 words"):
        parse_unit("L" + "/g" * 30, "volume")
