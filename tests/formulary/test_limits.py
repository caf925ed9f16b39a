"""The least permissive limits for a patient."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.formulary import AgeGroup, Kind, Route, amount, limits_for
from calclib.formulary.body import shipped_body
from calclib.formulary.limits import in_all
from calclib.formulary.order import Patient

# Median, L and S of the CDC 2000 and WHO 2006 charts, and the weights at 3 standard deviations worked out by hand.
WEIGHTS = [
    ("1 mo", "female", "4.17", "0.1727", "0.13738"),
    ("12 mo", "male", "9.65", "0.0645", "0.10925"),
    ("12 mo", "female", "8.95", "-0.2022", "0.12267"),
    ("4 yr", "female", "15.88", "-1.177", "0.1318"),
    ("10 yr", "male", "32.09", "-1.2067", "0.1789"),
]


@pytest.mark.parametrize(
    ("drug", "route", "group", "weight", "kind", "most"),
    [
        # 15 mg/kg in a label, but no more than 1,000 mg in all
        ("acetaminophen", Route.IV, AgeGroup.CHILD, "20", Kind.DOSE_MOST, "300 mg"),
        # 75 mg/kg/day in one dose, but no more than 2 g; the ear alone would have 1 g
        ("ceftriaxone", Route.IM, AgeGroup.CHILD, "30", Kind.DOSE_MOST, "2000 mg"),
        # 0.1 mg/kg, but no more than 10 mg
        ("morphine", Route.IV, AgeGroup.CHILD, "30", Kind.DOSE_MOST, "3 mg"),
        ("morphine", Route.IV, AgeGroup.CHILD, "150", Kind.DOSE_MOST, "10 mg"),
        # 0.3 mg/kg and 12 mg: both hold
        ("adenosine", Route.IV, AgeGroup.CHILD, "30", Kind.DOSE_MOST, "9 mg"),
        ("adenosine", Route.IV, AgeGroup.CHILD, "48", Kind.DOSE_MOST, "12 mg"),
        ("gabapentin", Route.ORAL, AgeGroup.CHILD, "20", Kind.DAY_MOST, "1000 mg/day"),
        ("dopamine", Route.IV, AgeGroup.ADULT, "60", Kind.RATE_MOST, "3000 mcg/min"),
        ("clindamycin", Route.IV, AgeGroup.ADULT, "70", Kind.SPEED_MOST, "30 mg/min"),
        ("clindamycin", Route.IV, AgeGroup.ADULT, "70", Kind.CONCENTRATION, "18 mg/mL"),
        # 10 mg/kg every 6 h: 40 mg/kg in a day
        ("vancomycin", Route.IV, AgeGroup.CHILD, "20", Kind.DAY_MOST, "800 mg/day"),
        # 7 mg/kg every 12 h, but no more than 600 mg in a day
        ("cefdinir", Route.ORAL, AgeGroup.CHILD, "20", Kind.DAY_MOST, "280 mg/day"),
        ("cefdinir", Route.ORAL, AgeGroup.CHILD, "60", Kind.DAY_MOST, "600 mg/day"),
        # 20,000 to 40,000 units in a day of infusion
        ("heparin", Route.IV, AgeGroup.ADULT, "68", Kind.RATE_MOST, "5000/3 units/h"),
    ],
)
def test_what_is_reached_first_holds(
    drug: str, route: Route, group: AgeGroup, weight: str, kind: Kind, most: str
) -> None:
    """So much for each kg, but no more than so much in all; of several uses the one that allows most."""
    found = limits_for(drug, route=route, group=group, weight=Fraction(weight))

    assert found[kind].most.over(amount(most)) == 1


def test_an_indication_narrows() -> None:
    """A named use alone counts: 30 mg of enoxaparin every 12 h for a joint, 40 mg once for the abdomen."""
    hip = limits_for("enoxaparin", route=Route.SC, group=AgeGroup.ADULT, indication="hip")

    assert str(hip[Kind.DOSE_MOST].most) == "30 mg"
    assert str(hip[Kind.DAY_MOST].most) == "60 mg/day"


def test_memory_gives_no_limit_here() -> None:
    """Ketorolac and lorazepam have no figure that anybody read: there is no limit that decides."""
    for drug in ("ketorolac", "lorazepam"):
        assert limits_for(drug, route=Route.IV, group=AgeGroup.ADULT, weight=Fraction(70)) == {}


def test_a_use_for_some_alone_is_not_meant_for_all() -> None:
    """What holds for the elderly or for opioid tolerance isn't taken for everybody's limit."""
    assert limits_for("haloperidol", route=Route.IM, group=AgeGroup.ADULT) == {}
    naive = limits_for("morphine", route=Route.IV, group=AgeGroup.ADULT, weight=Fraction(200))
    assert str(naive[Kind.RATE_MOST].most) == "10 mg/h"


def test_a_weight_that_is_not_told() -> None:
    """An adult is then taken to weigh 195.7 lb, which is said; a child's amount is left open."""
    adult = in_all(amount("2.2 mg/kg"), Patient())

    assert adult is not None
    assert (adult[0].value, adult[1]) == (Fraction("195.7"), True)
    assert in_all(amount("2 mg/kg"), Patient(AgeGroup.CHILD)) is None


@pytest.mark.parametrize(("age", "sex", "median", "power", "spread"), WEIGHTS)
def test_weights_for_age_hold_three_standard_deviations(
    age: str, sex: str, median: str, power: str, spread: str
) -> None:
    """The table reaches at least as far as M(1 + 3LS)^(1/L) on either side, and hardly further."""
    from calclib.formulary.amount import age_in_days

    days = age_in_days(amount(age))
    assert days is not None
    found = shipped_body().weight_for_age(days)
    assert found is not None
    low, high = (float(median) * (1 + float(power) * float(spread) * z) ** (1 / float(power)) for z in (-3, 3))

    assert 0.85 * low <= found.low <= low
    assert high <= found.high <= 1.2 * high
    assert sex in ("male", "female")
