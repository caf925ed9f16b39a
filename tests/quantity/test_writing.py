from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.quantity.writing import plural, read_number, singular, write_number, write_quantity, write_unit

decimals = st.decimals(min_value=-(10**9), max_value=10**9, places=6, allow_nan=False, allow_infinity=False)
SAFE = re.compile(r"-?(0|[1-9]\d{0,2}(,\d{3})*)(\.\d*[1-9])?")


@given(x=decimals.map(Fraction))
def test_a_written_number_is_read_again(x: Fraction) -> None:
    """Writing and reading give the same number."""
    assert read_number(write_number(x)) == x


@given(x=decimals.map(Fraction), places=st.integers(0, 6))
def test_numbers_are_written_safely(x: Fraction, places: int) -> None:
    """No naked point, no trailing zero, commas in threes, never a minus before 0."""
    for text in (write_number(x), write_number(x, places)):
        assert SAFE.fullmatch(text)
        assert text != "-0"


@pytest.mark.parametrize(
    ("x", "places", "text"),
    [
        ("1/2", None, "0.5"),
        ("5", None, "5"),
        ("1250", None, "1,250"),
        ("1000000", None, "1,000,000"),
        ("0.000025", None, "0.000025"),
        ("1/3", 2, "0.33"),
        ("2/3", 0, "1"),
        ("999.95", 1, "1,000"),
        ("2.5", 0, "3"),
        ("0.004", 2, "0"),
    ],
)
def test_numbers_by_hand(x: str, places: int | None, text: str) -> None:
    """Known numbers in known writing."""
    assert write_number(Fraction(x), places) == text


def test_numbers_without_an_end_need_their_decimals() -> None:
    """1/3 is not written without saying to how many digits."""
    with pytest.raises(BadInput, match="no finite decimals"):
        write_number(Fraction(1, 3))


@pytest.mark.parametrize(
    ("x", "unit", "text"),
    [
        ("125", "mL/h", "125 mL/h"),
        ("5000", "units", "5,000 units"),
        ("1", "units", "1 unit"),
        ("1", "units/h", "1 unit/h"),
        ("0.5", "tab", "0.5 tablet"),
        ("1", "tab", "1 tablet"),
        ("1.5", "tab", "1.5 tablets"),
        ("2", "tablet", "2 tablets"),
        ("0", "cap", "0 capsules"),
        ("2", "dose", "2 doses"),
        ("25", "mg/tab", "25 mg/tablet"),
        ("2", "mcg/kg/min", "2 mcg/kg/min"),
        ("31", "gtt/min", "31 gtt/min"),
        ("0.9", "%", "0.9%"),
        ("30", "%TBSA", "30% TBSA"),
        ("1", "wk", "1 week"),
        ("3", "day", "3 days"),
        ("3", "million_units", "3 million units"),
        ("37", "degC", "37 degrees C"),
        ("1500", "g_weight", "1,500 g"),
        ("3", "", "3"),
    ],
)
def test_quantities_by_hand(x: str, unit: str, text: str) -> None:
    """Units agree with the number, symbols stay as they are."""
    assert write_quantity(Fraction(x), unit) == text


def test_units_alone() -> None:
    """One and many, and after a slash always one."""
    assert (singular("tab"), plural("tab"), plural("tab/day"), singular("units/h")) == (
        "tablet",
        "tablets",
        "tablets/day",
        "unit/h",
    )
    assert write_unit("mg/dose") == "mg/dose"
    with pytest.raises(BadInput, match="unit is shorter"):
        write_unit("x" * 61)


@pytest.mark.parametrize(
    ("text", "x"), [("1,250.5", "2501/2"), ("1/3", "1/3"), ("-2", "-2"), (" 0.5 ", "1/2"), ("12,000", "12000")]
)
def test_authors_numbers_are_read(text: str, x: str) -> None:
    """Decimals, thousands and fractions are read exactly."""
    assert read_number(text) == Fraction(x)


@pytest.mark.parametrize(
    "text", ["", ".5", "5.", "0,5", "1,25", "1 1/2", "1/0", "1e3", "1_000", "٣", "nan", "1" * 41, "1/2/3", "--1", "0x1"]
)
def test_anything_else_is_no_number(text: str) -> None:
    """Whatever could be misread, or would take long, is refused with a sentence."""
    with pytest.raises(BadInput, match=r"number|divides by zero"):
        read_number(text)
