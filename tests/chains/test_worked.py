"""Worked solutions: every step with numbers and units, the rounded answer last."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.chains.methods import FORMULA, METHODS, RATIO
from calclib.chains.shown import amount, amount_text
from calclib.chains.worked_steps import duration_words
from calclib.items import Solution, draw_item, solution_of
from calclib.models import item_model
from calclib.quantity.policies import rounding_policies
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import parse_unit
from calclib.wording import sentence
from tests.items.drawn import MODELS, drawn_items, model


def solved(name: str, policy: str = "tenths-and-wholes", **given: str) -> Solution:
    """The solution of an item with a teacher's numbers."""
    chosen = item_model(name)
    item = draw_item(chosen, "worked", given=given, policy=rounding_policies()[policy])
    return solution_of(item, chosen)


def test_factors_with_units() -> None:
    """A product stands as in dimensional analysis: conversions as fractions, what only divides last."""
    solution = solved("drop-rate", volume="1000 mL", time="480 min", drop_factor="15 gtt/mL")

    assert solution.worked("drops") == (
        "drop rate = 1,000 mL x 15 gtt/mL / 480 min = 31.25 gtt/min",
        "Round to the nearest whole gtt/min. Answer: 31 gtt/min.",
    )


def test_a_stated_form_is_converted_first() -> None:
    """A value stated in another unit has a line of its own."""
    solution = solved("drop-rate", volume="1 L", time="8 h", drop_factor="15 gtt/mL")

    assert solution.worked("drops")[:3] == (
        "infusion time = 8 h x 60 min/1 h = 480 min",
        "volume to infuse = 1 L x 1,000 mL/1 L = 1,000 mL",
        "drop rate = 1,000 mL x 15 gtt/mL / 480 min = 31.25 gtt/min",
    )


def test_a_strength_stands_as_amount_and_volume() -> None:
    """A strength that divides is turned as a whole."""
    solution = solved("titrated-rate", dose="5 mcg/kg/min", weight="80 kg", concentration="400 mg in 250 mL")

    assert solution.worked("rate")[0] == (
        "pump rate = 5 mcg/kg/min x 80 kg x 250 mL/400 mg x 1 mg/1,000 mcg x 60 min/1 h = 15 mL/h"
    )


def test_cancelled_units_are_struck_out() -> None:
    """In LaTeX the units that stand above and below as often are struck out, the unit of the answer is not."""
    solution = solved("titrated-rate", dose="5 mcg/kg/min", weight="80 kg", concentration="400 mg in 250 mL")

    assert solution.markdown("rate")[0] == (
        r"pump rate $= \frac{5\ \cancel{\text{mcg}}}{\cancel{\text{kg}}\cdot \cancel{\text{min}}}"
        r" \times 80\ \cancel{\text{kg}} \times \frac{250\ \text{mL}}{400\ \cancel{\text{mg}}}"
        r" \times \frac{1\ \cancel{\text{mg}}}{1{,}000\ \cancel{\text{mcg}}}"
        r" \times \frac{60\ \cancel{\text{min}}}{1\ \text{h}}"
        r" = 15\ \text{mL/h}$"
    )


def test_pounds_by_the_stated_conversion() -> None:
    """Pounds divide by the conversion that the stem prints."""
    solution = solved("pounds-to-kilograms", weight="176 lb")

    assert solution.worked("kilograms")[0] == "weight in kg = 176 lb x 1 kg/2.2 lb = 80 kg"


def test_endless_decimals_are_called_about() -> None:
    """A result that is shown rounded says so; a factor in the next line does not repeat it."""
    solution = solved("weight-dose-volume", weight="62 lb", dose="1.5 mg/kg", strength="15 mg in 5 mL")

    assert solution.worked("amount")[:2] == (
        "body weight = 62 lb x 1 kg/2.2 lb = about 28.182 kg",
        "amount for one dose = 1.5 mg/kg x 28.182 kg = about 42.273 mg",
    )


def test_a_stated_third_stays_a_third() -> None:
    """A third that the problem states is exact: it is not shown as 0.33333, which would come to another number."""
    solution = solved("cups-to-milliliters", drink="2/3 cup", times="3", left="60 mL")

    assert solution.worked("volume")[0] == "volume of a full glass in mL = 2/3 cup x 240 mL/1 cup = 160 mL"
    assert "5/3 cups" in solved("cups-to-milliliters", drink="1 2/3 cups").worked("volume")[0]
    assert (
        "240 mL x 1/3 = 80 mL" in solved("fraction-of-total", total="240 mL", strength="1/3").worked("concentrate")[0]
    )


def test_bands_stand_one_to_a_line() -> None:
    """Each band has its line, and the last line adds them up."""
    assert solved("maintenance-fluid-rate", weight="22.6 kg").worked("rate") == (
        "first 10 kg: 10 kg x 4 mL/kg/h = 40 mL/h",
        "next 10 kg: 10 kg x 2 mL/kg/h = 20 mL/h",
        "above 20 kg: 2.6 kg x 1 mL/kg/h = 2.6 mL/h",
        "maintenance rate = 40 mL/h + 20 mL/h + 2.6 mL/h = 62.6 mL/h",
        "Round to the nearest whole mL/h. Answer: 63 mL/h.",
    )


def test_a_root_shows_what_stands_under_it() -> None:
    """A square root shows its factors, the number under it, and the rounding that follows."""
    solution = solved("body-surface-dose", height="153 cm", weight="45 kg", dose="5 mg/m2", strength="1 mg/mL")

    first, *others = solution.worked("surface")
    assert first.startswith("body surface area before rounding = the square root of (153 cm x 45 kg / 3,600) = ")
    assert first.endswith(" = the square root of (1.9125) = about 1.3829 m2")
    assert tuple(others) == (
        "Round to the nearest hundredth of a m2 (0.01 m2): body surface area = 1.38 m2",
        "Answer: 1.38 m2.",
    )


def test_the_clock_turns_over_midnight() -> None:
    """A time past midnight is counted to midnight first, and the day is said."""
    assert solved("infusion-end-time", volume="650 mL", rate="130 mL/h", start="2050").worked("end") == (
        "infusion time = 650 mL x 1 h/130 mL = 5 h",
        "From 2050 to midnight: 3 h 10 min; after midnight: 1 h 50 min.",
        "end of the infusion: 2050 + 5 h is 0150 the next day",
        "Round to the nearest whole minute. Answer: 0150 the next day.",
    )


def test_tables_limits_counts_and_comparisons_are_said() -> None:
    """Steps that are no arithmetic say which row, limit, count or side it is."""
    assert solved("correction-insulin", glucose="236", mealtime="14 units").worked("correction")[0] == (
        "Look up 236 (200 to below 250): correction dose = 3 units"
    )
    limit = solved("maximum-dose", dose="50 mg/kg", weight="25 kg", maximum="1 g").worked("amount")
    assert (
        "dose to give = the smaller of 1,250 mg (calculated dose) and 1,000 mg (single-dose maximum) = 1,000 mg"
        in limit
    )
    count = solved("vials-to-open", order="1,100 mg", vial="500 mg/vial", frequency="every 6 h").worked("dose")
    assert count[-2:] == (
        "vials for one dose = 1,100 mg/1 dose x 1 vial/500 mg = 2.2 vials/dose, rounded up to 3 vials/dose",
        "Answer: 3 vials.",
    )
    numbers = {"order": "425 mg", "frequency": "every 8 h", "weight": "15 kg"}
    compared = solved("safe-dose-range", low="25 mg/kg/day", high="50 mg/kg/day", **numbers).worked("verdict")
    said = "425 mg is more than 250 mg (maximum single dose)"
    assert compared[0] == f"order compared with the range: {said}, so “Hold it and call: above the range”"


def test_ratio_and_proportion() -> None:
    """A proportion stands with x, then solved for x."""
    assert solved("injection-volume", order="41 mg", strength="50 mg/mL").worked("volume", method=RATIO)[:2] == (
        "volume to draw up = x: 1 mL/50 mg = x/41 mg",
        "x = 41 mg x 1 mL/50 mg = 0.82 mL",
    )
    rate = solved("secondary-entries-label-volume", bag="50 mL", time="50 min").worked("rate", method=RATIO)
    assert rate[:3] == (
        "secondary rate = x for each h: 50 mL/50 min = x/60 min",
        "x = 50 mL x 60 min / 50 min = 60 mL",
        "secondary rate = 60 mL/h",
    )


def test_dose_on_hand() -> None:
    """The formula names what is ordered, on hand and the quantity; other products stand in words first."""
    assert solved("injection-volume", order="41 mg", strength="50 mg/mL").worked("volume", method=FORMULA)[:2] == (
        "D/H x Q: D = 41 mg, H = 50 mg, Q = 1 mL",
        "volume to draw up = 41 mg/50 mg x 1 mL = 0.82 mL",
    )
    drops = solved("drop-rate", volume="1000 mL", time="480 min", drop_factor="15 gtt/mL")
    assert drops.worked("drops", method=FORMULA)[0] == "drop rate = volume to infuse x drop factor / infusion time"


def test_a_required_rounding_on_the_way_has_its_line() -> None:
    """Where a policy rounds kilograms first, the line says by which rule, and later lines go on from it."""
    lines = solved("weight-dose-volume", "kilograms-first", weight="62 lb", dose="1.5 mg/kg").worked("amount")

    assert lines[1:3] == (
        "Round to the nearest tenth of a kg (0.1 kg): body weight = 28.2 kg",
        "amount for one dose = 1.5 mg/kg x 28.2 kg = 42.3 mg",
    )


NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")
UNSAFE = {
    "a zero at the end": re.compile(r"\d\.\d*0\b"),
    "no zero before the point": re.compile(r"(?<!\d)\.\d"),
    "a micro sign": re.compile("[µμ]"),
    "U for units": re.compile(r"\d U\b"),
    "cc": re.compile(r"\bcc\b"),
}


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("name", MODELS)
def test_every_worked_solution_ends_in_the_key(name: str, method: str) -> None:
    """By every method the last line is the answer, every line is in safe notation, and Markdown says the same."""
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        for part in item.parts:
            lines = solution.worked(part.name, method=method, whole=True)
            assert lines[-1].endswith(f"Answer: {part.answer}.")
            for kind, unsafe in UNSAFE.items():
                assert not any(unsafe.search(line) for line in lines), (kind, lines)
            markdown = solution.markdown(part.name, method=method, whole=True)
            assert len(markdown) == len(lines)
            for text, maths in zip(lines, markdown, strict=True):
                assert maths.count("$") % 2 == 0 and maths.count("{") == maths.count("}")
                assert _numbers(maths.replace("{,}", ",")) == _numbers(text), (text, maths)


def _numbers(text: str) -> list[str]:
    """The numbers of a line, without exponents of units and without the 1 of a fraction."""
    return sorted(n for n in NUMBER.findall(re.sub(r"\^\{\d\}|(?<=m)\d", "", text)) if n != "1")


@pytest.mark.parametrize("name", MODELS)
def test_the_item_keeps_its_worked_solution(name: str) -> None:
    """The lines recorded with an item are those rebuilt from its record; parts do not repeat each other."""
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        assert dict(item.worked) == {part.name: solution.worked_facts(part.name) for part in item.parts}
        for part in item.parts[1:]:
            whole = solution.worked_facts(part.name, whole=True)
            assert set(item.worked[part.name]) <= set(whole)


ROUNDING = [r for r in rounding_policies()["tenths-and-wholes"].rules.values() if all(b.step for b in r.bands)]


@given(
    x=st.fractions(min_value=Fraction(1, 10**6), max_value=10**6, max_denominator=10**7),
    rule=st.sampled_from(ROUNDING),
)
def test_a_shown_number_rounds_as_the_exact_one(x: Fraction, rule: RoundingRule) -> None:
    """The digits shown before a rounding lead to the same rounded number as the exact value does."""
    shown = amount(x, parse_unit("mL"), rule)

    assert shown.about == (10**6 % x.denominator != 0)
    assert rule.rounded(Fraction(shown.number.replace(",", ""))) == rule.rounded(x)


@given(st.fractions(min_value=0, max_value=10_000, max_denominator=1000))
def test_a_duration_in_words_is_the_duration(minutes: Fraction) -> None:
    """Hours and minutes add up to the duration, to a tenth of a minute where it is “about”."""
    told = duration_words(minutes)
    words = told if isinstance(told, str) else sentence(told)
    hours = re.search(r"([\d,]+) h", words)
    rest = re.search(r"([\d.]+) min", words)
    total = 60 * Fraction(hours[1].replace(",", "")) if hours else Fraction(0)
    total += Fraction(rest[1]) if rest else 0

    assert abs(total - minutes) <= Fraction(1, 20)
    assert words.startswith("about") == (total != minutes)


def test_amounts_take_the_singular_and_the_plural() -> None:
    """One tablet, two tablets, half a tablet as a number below one."""
    tablet = parse_unit("tab")

    assert [amount_text(amount(Fraction(n), tablet)) for n in ("1", "2", "0.5", "1.5")] == [
        "1 tablet",
        "2 tablets",
        "0.5 tablet",
        "1.5 tablets",
    ]
