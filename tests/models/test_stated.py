"""How a stem states a given: read and written again, in every form."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.models.model import Choices, GivenModel, Grid
from calclib.models.stated import FRACTION, MAX_TEXT, Stated, read_stated, restated
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
TABLET = declared("drug_per_tab", "mg/tab")
UNITS = declared("mixture", "units/mL")
BY_DAY = declared("dose_by_weight_per_time", "mg/kg/day")
FACTOR = declared("drop_factor", "gtt/mL")
HEIGHT = declared("length", "cm")
AREA = declared("dose_by_area", "mg/m2")
BURNT = declared("burnt_area", "%TBSA")
FEVER = declared("temperature", "degC")
AGE = declared("duration", "yr")
SHARE = declared("number", "")
AROUND_THE_CLOCK = replace(FREQUENCY, forms=("every h",))

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
    (VOLUME, "0 mL", "0 mL", 0),
    (VOLUME, "500 cc", "500 mL", 500),
    (VOLUME, "½ cup", "0.5 cup", 120),
    (VOLUME, "1 1/2 cups", "1.5 cups", 360),
    (VOLUME, "1-1/2 cups", "1.5 cups", 360),
    (VOLUME, "8 fl. oz.", "8 oz", 240),
    (VOLUME, "2 T", "2 tbsp", 30),
    (VOLUME, "2 t", "2 tsp", 10),
    (VOLUME, "a pint", "1 pt", 480),
    (ORDER, ".4 g", "0.4 g", 400),
    (ORDER, "5 gr", "5 grains", 300),
    (ORDER, "gr 1/150", "1/150 grain", Fraction(2, 5)),
    (ORDER, "gr viiss", "7.5 grains", 450),
    (ORDER, "16 mg of morphine", "16 mg", 16),
    (ORDER, "250 µg", "250 mcg", Fraction(1, 4)),
    (ORDER, "1 g vial", "1 g", 1000),
    (TABLET, "50 mg scored tablets", "50 mg/tablet", 50),
    (TABLET, "125 mcg per tablet", "125 mcg/tablet", Fraction(1, 8)),
    (TABLET, "325 mg each", "325 mg/tablet", 325),
    (TABLET, "5-mg tablets", "5 mg/tablet", 5),
    (STRENGTH, "12.5 mg = 5 mL", "12.5 mg in 5 mL", Fraction(5, 2)),
    (STRENGTH, "50 mg in 250 mL D5W", "50 mg in 250 mL", Fraction(1, 5)),
    (STRENGTH, "2 g in 500 mL of 0.9% sodium chloride", "2 g in 500 mL", 4),
    (STRENGTH, "400 mg / 250 mL", "400 mg in 250 mL", Fraction(8, 5)),
    (STRENGTH, "gr ss per mL", "0.5 grain/mL", 30),
    (STRENGTH, "1 in 10,000", "1:10,000", Fraction(1, 10)),
    (STRENGTH, "D10W", "10%", 100),
    (STRENGTH, "1% solution", "1%", 10),
    (UNITS, "U-100", "100 units/mL", 100),
    (UNITS, "20,000 U/L", "20,000 units/L", 20),
    (UNITS, "5000 IU/mL", "5,000 units/mL", 5000),
    (WEIGHT, "7 lb, 4 oz", "116 oz", Fraction(145, 44)),
    (WEIGHT, "33 1/2 lbs", "33.5 lb", Fraction(335, 22)),
    (TIME, "3 1/2 h", "3.5 h", 210),
    (TIME, "half an hour", "0.5 h", 30),
    (TIME, "2 hours and 30 minutes", "150 min", 150),
    (FREQUENCY, "q6h", "every 6 h", 4),
    (FREQUENCY, "q 8 hours", "every 8 h", 3),
    (FREQUENCY, "b.i.d.", "2 doses/day", 2),
    (FREQUENCY, "three times a day", "3 doses/day", 3),
    (FREQUENCY, "4 times daily", "4 doses/day", 4),
    (FREQUENCY, "once a day", "1 dose/day", 1),
    (FREQUENCY, "in 3 divided doses", "3 doses/day", 3),
    (FREQUENCY, "divided into 2 doses", "2 doses/day", 2),
    (FREQUENCY, "4 equal doses", "4 doses/day", 4),
    (AROUND_THE_CLOCK, "3 times a day", "every 8 h", 3),
    (BY_DAY, "40 mg/kg/24 h", "40 mg/kg/day", 40),
    (BY_DAY, "40 mg/kg daily", "40 mg/kg/day", 40),
    (BY_DAY, "40 mg per kg of body weight per day", "40 mg/kg/day", 40),
    (FACTOR, "60", "60 gtt/mL", 60),
    (FACTOR, "15 drops per mL", "15 gtt/mL", 15),
    (FACTOR, "60 microdrops/mL", "60 gtt/mL", 60),
    (HEIGHT, "5'6\"", "66 in", Fraction(8382, 50)),
    (HEIGHT, "5 feet 6 inches", "66 in", Fraction(8382, 50)),
    (AREA, "75 mg/m²", "75 mg/m2", 75),
    (BURNT, "40%", "40% TBSA", 40),
    (FEVER, "38.5 °C", "38.5 degrees C", Fraction(77, 2)),
    (AGE, "70", "70 years", 70),
    (AGE, "70 years old", "70 years", 70),
    (SHARE, "3/4 strength", "0.75", Fraction(3, 4)),
    (SHARE, "50%", "0.5", Fraction(1, 2)),
]

TIMES = [
    ("7:30 am", "0730"),
    ("7:30 p.m.", "1930"),
    ("07:30", "0730"),
    ("12 noon", "1200"),
    ("12:15 am", "0015"),
    ("12:15 pm", "1215"),
    ("midnight", "0000"),
    ("10 pm", "2200"),
    ("0600 hours", "0600"),
    ("1:30 am the next day", "0130 the next day"),
]


@pytest.mark.parametrize(("text", "written"), TIMES)
def test_times_are_read_as_books_write_them(text: str, written: str) -> None:
    """A time of day with am, pm, a colon or words is stated on the 24-hour clock."""
    assert read_stated(GivenModel("x", "clock", None, Choices(("0000",)), says="x"), text).text == written


@pytest.mark.parametrize(
    "text", ["13 pm", "0 am", "13:30 pm", "0:30 am", "midnight the next day", "2460", "7", "25:00", "noonish", ""]
)
def test_no_time_is_refused(text: str) -> None:
    """What is no time of day is refused with the forms that are."""
    with pytest.raises(BadInput, match="x"):
        read_stated(GivenModel("x", "clock", None, Choices(("0000",)), says="x"), text)


@pytest.mark.parametrize(
    ("asked", "says"), [(ORDER, "“500 mg”, “0.5 g”"), (UNITS, "“25,000 units/500 mL”"), (AGE, "“65 years”")]
)
def test_a_refusal_says_what_can_be_written(asked: GivenModel, says: str) -> None:
    """A wrong text leads to one sentence with forms that can be written."""
    with pytest.raises(BadInput) as refused:
        read_stated(asked, "5 furlongs")

    assert says in refused.value.message
    assert "\n" not in refused.value.message


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
    (FREQUENCY, "often"),
    (VOLUME, "-5 mL"),
    (VOLUME, "½"),
    (TIME, "30 mg"),
    (ORDER, "5 to 10 mg"),
    (ORDER, "five or six mg"),
    (ORDER, "less than 5 mg"),
    (ORDER, "twice 5 mg"),
    (ORDER, "fifteen 5 mg tablets"),
    (ORDER, "half of 10 mg"),
    (STRENGTH, "two 400 mg vials in 250 mL"),
    (STRENGTH, "double 400 mg in 250 mL"),
    (ORDER, "30 mg in 4 h"),
    (ORDER, "2 g/day"),
    (ORDER, "500 mg in 5 mL"),
    (ORDER, "5 mg and 20 mg"),
    (VOLUME, "500 mL over 4 h"),
    (VOLUME, "100 mL and 30 min"),
    (STRENGTH, "400 mg"),
    (STRENGTH, "400 mg in 250 mL over 4 h"),
    (STRENGTH, "0.9% saline and 5% dextrose"),
    (STRENGTH, "200 mg in 5 mL in 10 mL"),
]


WEIGHTED = declared("dose_by_weight", "mg/kg")
DAY_FOR_DOSE = [
    *((WEIGHTED, text) for text in ("90 mg/kg/day", "90 mg/kg/d", "90 mg/kg daily", "90 mg/kg a day", "0.09 g/kg/day")),
    *((WEIGHTED, text) for text in ("90 mg/kg per day in 3 doses", "30 mg/kg/day divided q8h", "90 mg/kg in 24 h")),
    (AREA, "250 mg/m2/day"),
    (AREA, "250 mg/m2 daily"),
]


@pytest.mark.parametrize(("asked", "text"), DAY_FOR_DOSE)
def test_the_amount_of_a_day_is_no_dose(asked: GivenModel, text: str) -> None:
    """Where one dose is asked, a day's amount isn't taken for one: nobody knows among how many doses it is shared."""
    with pytest.raises(BadInput, match="that is the amount for a day, and one dose is asked for here: divide it among"):
        read_stated(asked, text)


@pytest.mark.parametrize("text", ["15 mg/kg", "15 mg/kg/dose", "15 mg/kg q6h", "15 mg/kg per dose"])
def test_one_dose_by_weight_is_read(text: str) -> None:
    """A dose may say that it is one, and how often it is given."""
    assert read_stated(WEIGHTED, text).working == 15


@pytest.mark.parametrize(
    "text", ["70% v/v", "70 % (v/v)", "5% w/w", "5 percent w/w", "40% by volume", "ethanol 70% v/v", "10% wt/wt"]
)
def test_another_percentage_is_no_strength(text: str) -> None:
    """Volume in volume and weight in weight are not grams in 100 mL."""
    with pytest.raises(BadInput, match=r"a percent strength is grams in 100 mL here \(w/v\)"):
        read_stated(STRENGTH, text)


@pytest.mark.parametrize("text", ["5%", "5% w/v", "5 % w/v", "5 percent", "0.9% NaCl", "dextrose 5% in water"])
def test_a_percentage_of_weight_in_volume_is_a_strength(text: str) -> None:
    """A percentage alone, or one that says weight in volume, is grams in 100 mL."""
    assert read_stated(STRENGTH, text).text in ("5%", "0.9%")


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
    assert stated.working is not None and (stated.working > 0 or asked is VOLUME)


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


@pytest.mark.parametrize(
    ("kind", "unit", "text", "shown", "value"),
    [
        ("volume", "cup", "3/4 cup", "3/4 cup", Fraction(3, 4)),
        ("volume", "cup", "1 1/3 cups", "1 1/3 cups", Fraction(4, 3)),
        ("volume", "tbsp", "1.5 tbsp", "1 1/2 tbsp", Fraction(3, 2)),
        ("volume", "cup", "2 cups", "2 cups", Fraction(2)),
        ("volume", "cup", "0.7 cup", "0.7 cup", Fraction(7, 10)),
        ("number", "", "0.75", "3/4", Fraction(3, 4)),
        ("number", "", "two thirds", "2/3", Fraction(2, 3)),
    ],
)
def test_a_fraction_is_said_as_on_a_ward(kind: str, unit: str, text: str, shown: str, value: Fraction) -> None:
    """What is declared so is stated in halves, thirds, quarters and eighths, and read back to the exact number."""
    fractional = replace(declared(kind, unit), forms=(FRACTION,))
    stated = read_stated(fractional, text)

    assert (stated.text, stated.working) == (shown, value)
    assert read_stated(fractional, stated.text) == stated
    assert restated(fractional, stated, FRACTION) == stated


def test_hours_are_stated_in_the_steps_in_which_a_model_draws_them() -> None:
    """Minutes are restated as quarters of an hour alone; a model that draws hundredths of an hour keeps them."""
    log = replace(declared("duration", "h"), draw=Grid(Fraction(1), Fraction(2), Fraction(1, 100)), forms=("h",))

    assert restated(log, read_stated(log, "1.37 h"), "h") == read_stated(log, "1.37 h")
    assert restated(TIME, read_stated(TIME, "21 min"), "h") is None
    assert restated(TIME, read_stated(TIME, "45 min"), "h") == read_stated(TIME, "0.75 h")
