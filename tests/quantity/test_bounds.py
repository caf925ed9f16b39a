"""Texts from outside cost no more than they are long."""

from __future__ import annotations

from fractions import Fraction

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


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("lb_per_kg", "1 kg = 2.2 lb", Fraction(11, 5)),
        ("lb_per_kg", "2.2 lb = 1 kg", Fraction(11, 5)),
        ("lb_per_kg", "1 lb = 0.45 kg", Fraction(20, 9)),
        ("mL_per_oz", "30 mL", Fraction(30)),
        ("mL_per_oz", "29.57 mL per oz", Fraction(2957, 100)),
        ("mg_per_gr", "15 gr = 1,000 mg", Fraction(200, 3)),
    ],
)
def test_a_conversion_may_be_written_as_books_do(name: str, text: str, value: Fraction) -> None:
    """An equation, a quotient and an amount for one of the second unit state the same conversion."""
    assert read_equivalence(name, text) == value


@pytest.mark.parametrize("text", ["1 kg = 2.2 mL", "1 kg = 0 lb", "0 kg = 2.2 lb", "2.2 oz", "1 kg = 2.2 lb = 3 lb"])
def test_another_conversion_is_refused(text: str) -> None:
    """Other units, and an equation with 0, are no value of the conversion."""
    with pytest.raises(BadInput):
        read_equivalence("lb_per_kg", text)


def test_all_equivalences_are_read() -> None:
    """Every number that ships has the form that is asked of others."""
    assert all(equivalence.value > 0 for equivalence in equivalences().values())


def test_a_unit_is_short() -> None:
    """A unit of thirty ambiguous words, which has a thousand million readings, is refused at once."""
    with pytest.raises(BadInput, match="8 words"):
        parse_unit("L" + "/g" * 30, "volume")
