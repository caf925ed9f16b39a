"""How a stem states a given: read and written again, in every form."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.items.model import Choices, GivenModel
from calclib.items.stated import MAX_TEXT, Stated, read_stated, restated
from calclib.quantity.units import parse_unit


def declared(kind: str, unit: str) -> GivenModel:
    """A given of a kind with a working unit."""
    return GivenModel("x", kind, parse_unit(unit, kind if kind != "number" else None), Choices(("1",)), says="x")


STRENGTH = declared("mixture", "mg/mL")
WEIGHT = declared("body_weight", "kg")
ORDER = declared("drug_amount", "mg")
TIME = declared("duration", "min")
FREQUENCY = declared("frequency", "dose/day")
VOLUME = declared("volume", "mL")

READ = [
    (ORDER, "500 mg", "500 mg", 500),
    (ORDER, "0.5 g", "0.5 g", 500),
    (ORDER, "125 mcg", "125 mcg", Fraction(1, 8)),
    (ORDER, "1,250 mg", "1,250 mg", 1250),
    (STRENGTH, "250 mg/mL", "250 mg/mL", 250),
    (STRENGTH, "400 mg in 250 mL", "400 mg in 250 mL", Fraction(8, 5)),
    (STRENGTH, "400 mg/250 mL", "400 mg in 250 mL", Fraction(8, 5)),
    (STRENGTH, "400 mg per 250 mL", "400 mg in 250 mL", Fraction(8, 5)),
    (STRENGTH, "1 g/10 mL", "1 g in 10 mL", 100),
    (STRENGTH, "5%", "5%", 50),
    (STRENGTH, "0.9 %", "0.9%", 9),
    (STRENGTH, "1:1,000", "1:1,000", 1),
    (STRENGTH, "1:10000", "1:10,000", Fraction(1, 10)),
    (WEIGHT, "70.5 kg", "70.5 kg", Fraction(141, 2)),
    (WEIGHT, "3,250 g", "3,250 g", Fraction(13, 4)),
    (WEIGHT, "154 lb", "154 lb", 70),
    (TIME, "1 h 30 min", "90 min", 90),
    (TIME, "1.5 h", "1.5 h", 90),
    (TIME, "8 hours", "8 h", 480),
    (FREQUENCY, "every 6 h", "every 6 h", 4),
    (FREQUENCY, "4 dose/day", "4 doses/day", 4),
    (VOLUME, "1 L", "1 L", 1000),
    (VOLUME, "1/2 L", "0.5 L", 500),
]


@pytest.mark.parametrize(("asked", "text", "written", "value"), READ)
def test_texts_are_read(asked: GivenModel, text: str, written: str, value: Fraction | int) -> None:
    """A text that a teacher types is read in its form, written safely, and worth the same in the working unit."""
    stated = read_stated(asked, text)

    assert (stated.text, stated.working) == (written, value)
    assert read_stated(asked, stated.text) == stated


REFUSED = [
    (ORDER, ""),
    (ORDER, "mg"),
    (ORDER, "500"),
    (ORDER, "500 mL"),
    (ORDER, "500 mg/kg"),
    (ORDER, "-5 mg"),
    (ORDER, "0 mg"),
    (ORDER, "1e3 mg"),
    (ORDER, "1/0 mg"),
    (ORDER, "0x10 mg"),
    (ORDER, "٥ mg"),
    (ORDER, "5 mg; 6 mg"),
    (ORDER, "5" * (MAX_TEXT + 1)),
    (STRENGTH, "400 mg in 0 mL"),
    (STRENGTH, "0 mg in 5 mL"),
    (STRENGTH, "400 mL in 250 mg"),
    (STRENGTH, "1:0"),
    (STRENGTH, "mg/mL"),
    (WEIGHT, "70 mL"),
    (FREQUENCY, "every 0 h"),
    (FREQUENCY, "every day"),
    (TIME, "30 mg"),
]


@pytest.mark.parametrize(("asked", "text"), REFUSED)
def test_nonsense_is_refused(asked: GivenModel, text: str) -> None:
    """A text that is no such value is refused, with the given's name."""
    with pytest.raises(BadInput, match="x"):
        read_stated(asked, text)


@given(st.sampled_from([ORDER, STRENGTH, WEIGHT, TIME, FREQUENCY, VOLUME]), st.text(max_size=40))
def test_any_text_is_read_or_refused(asked: GivenModel, text: str) -> None:
    """No text leads to any other error."""
    try:
        stated = read_stated(asked, text)
    except BadInput:
        return
    assert stated.working is not None and stated.working > 0


numbers = st.integers(min_value=1, max_value=9999).map(lambda n: Fraction(n, 100))


@given(numbers, st.sampled_from(["mg", "mcg", "g"]))
def test_a_stated_number_reads_back(number: Fraction, unit: str) -> None:
    """What is written is read again as the same statement."""
    stated = read_stated(ORDER, f"{number.numerator}/{number.denominator} {unit}")

    assert read_stated(ORDER, stated.text) == stated


@given(numbers, st.sampled_from(["mg", "mcg", "g"]))
def test_another_form_says_the_same(number: Fraction, form: str) -> None:
    """A value in another form is worth the same, or is not stated in it at all."""
    stated = read_stated(ORDER, f"{number.numerator}/{number.denominator} mg")
    other = restated(ORDER, stated, form)

    assert other is None or (other.working == number and read_stated(ORDER, other.text) == other)


@given(st.integers(min_value=1, max_value=300))
def test_pounds_are_whole(kilograms: int) -> None:
    """A weight in pounds is stated as a scale shows it, and is then worth what it says."""
    stated: Stated | None = restated(WEIGHT, read_stated(WEIGHT, f"{kilograms} kg"), "lb")

    assert stated is not None and stated.working is not None
    assert dict(stated.numbers)["x.stated"] == Fraction(stated.text.removesuffix(" lb").replace(",", ""))
    assert abs(stated.working - kilograms) <= Fraction(1, 4)
