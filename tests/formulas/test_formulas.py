from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
import tomllib
from fractions import Fraction
from importlib.resources import files
from types import FunctionType

import pytest
from hypothesis import given
from hypothesis import strategies as st

import calclib.formulas
from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, ends
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.sources.catalogue import sources

MODULES = [f"calclib.formulas.{module.name}" for module in pkgutil.iter_modules(calclib.formulas.__path__)]
FORMULAS = [getattr(calclib.formulas, name) for name in calclib.formulas.__all__]
CONSTANTS = tomllib.loads(files("calclib.formulas").joinpath("constants.toml").read_text(encoding="utf-8"))

weights = st.fractions(min_value=1, max_value=300, max_denominator=10)
heights = st.fractions(min_value=40, max_value=220, max_denominator=10)


def kg(x: Fraction | int | str) -> Quantity:
    """A body weight."""
    return quantity(x if isinstance(x, (Fraction, int)) else Fraction(x), "kg")


@pytest.mark.parametrize("module", MODULES)
def test_examples_in_docstrings_hold(module: str) -> None:
    """The example of each formula prints what it says."""
    assert doctest.testmod(importlib.import_module(module)).failed == 0


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.__name__)
def test_each_formula_names_dimension_range_source_and_example(formula: FunctionType) -> None:
    """A formula's docstring has arguments with dimension, result, errors, a known source and an example."""
    text = inspect.getdoc(formula) or ""
    source_text = text.partition("Source:")[2].partition("\n\n")[0]
    named = [word for word in re.findall(r"[a-z][a-z0-9_]+", source_text) if word in sources()]

    for heading in ("Args:", "Returns:", "Raises:", "Source:", "Example:"):
        assert heading in text
    assert named
    first, *others = inspect.signature(formula).parameters.values()
    assert first.kind is inspect.Parameter.POSITIONAL_OR_KEYWORD
    assert all(other.kind is inspect.Parameter.KEYWORD_ONLY for other in others)


def test_each_constant_has_a_known_source() -> None:
    """No number of a formula stands without its source."""
    entries = [entry for table in CONSTANTS.values() for entry in table.values()]

    assert [entry for entry in entries if entry["source"] not in sources()] == []


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda f: f.body_surface_area_mosteller(kg(500), height=quantity("170 cm")), "body weight must be"),
        (lambda f: f.body_surface_area_mosteller(kg(70), height=quantity("1.7 cm")), "height must be"),
        (lambda f: f.body_surface_area_mosteller(quantity("70 mg"), height=quantity("170 cm")), "body weight is in kg"),
        (lambda f: f.ideal_body_weight_devine(quantity("150 cm"), sex="male"), "height of an adult"),
        (lambda f: f.ideal_body_weight_devine(quantity("70 in"), sex="other"), "male"),
        (lambda f: f.adjusted_body_weight(kg(60), ideal=kg(73)), "above their ideal weight"),
        (lambda f: f.maintenance_fluid_daily(kg(20), rule="1-2-3"), "the rule is one of"),
        (lambda f: f.burn_fluid(kg(70), burnt_area=quantity("130 %TBSA")), "burned area must be"),
        (lambda f: f.burn_fluid_rate_rule_of_ten(kg(30), burnt_area=quantity("20 %TBSA")), "adult for the rule"),
        (lambda f: f.burn_fluid_first_rate(quantity("1 L"), since_burn=quantity("9 h")), "within 8 h"),
        (lambda f: f.dose_volume(quantity("5 mL"), concentration=quantity("5 mg/mL")), "such as mg, units or mEq"),
        (lambda f: f.dose_volume(quantity("5 units"), concentration=quantity("5 mg/mL")), "concentration is in"),
        (lambda f: f.dose_count(quantity("5 mg"), strength=quantity("5 mg/mL")), "dose per tablet"),
        (lambda f: f.pump_rate(quantity("1 L"), time=quantity("0 h")), "time must be more than zero"),
        (lambda f: f.divided_dose(quantity("90 mg/day"), doses_per_day=0), "1 to 24"),
        (lambda f: f.pca_hourly_morphine(quantity("12 yr")), "age for the hourly morphine"),
        (lambda f: f.residual_share(quantity("60 mL"), bag=quantity("50 mL")), "between 0 and the bag's"),
        (
            lambda f: f.alligation(
                quantity("25 %"), high=quantity("50 %"), wanted=quantity("60 %"), total=quantity("1 L")
            ),
            "does not lie between",
        ),
        (
            lambda f: f.stock_volume_for_dilution(
                quantity("5 %"), final_volume=quantity("1 L"), wanted=quantity("10 %")
            ),
            "does not make stronger",
        ),
        (lambda f: f.milliequivalents(quantity("1 g"), molar_mass=quantity("40 mg/mmol"), valence=9), "valence is 1"),
    ],
)
def test_what_a_formula_was_not_made_for_is_refused(call: FunctionType, message: str) -> None:
    """Outside its range, or with the wrong kind of quantity, a formula says what is wrong."""
    with pytest.raises(BadInput, match=message):
        call(calclib.formulas)


@given(weight=weights, height=heights)
def test_body_surface_formulas_lie_near_each_other(weight: Fraction, height: Fraction) -> None:
    """Each enclosure is far narrower than a hundredth of a m2 and holds the binary result within its noise."""
    by_hand = {
        "mosteller": (float(height) * float(weight) / 3600) ** 0.5,
        "dubois": 0.007184 * float(height) ** 0.725 * float(weight) ** 0.425,
        "haycock": 0.024265 * float(height) ** 0.3964 * float(weight) ** 0.5378,
    }
    for author, expected in by_hand.items():
        formula = getattr(calclib.formulas, f"body_surface_area_{author}")
        low, high = ends(magnitude(formula(kg(weight), height=quantity(height, "cm")), "m2", "area"))

        assert high - low < Fraction(1, 10**18)
        assert abs(Fraction(expected) / low - 1) < Fraction(1, 10**12)


def test_a_perfect_square_has_an_exact_surface() -> None:
    """25 kg and 144 cm are exactly 1 m2, no enclosure."""
    area = calclib.formulas.body_surface_area_mosteller(kg(25), height=quantity("144 cm"))

    assert area.magnitude == 1
    assert not isinstance(area.magnitude, Enclosure)


@given(rate=weights, weight=weights, strength=weights)
def test_rate_and_dose_undo_each_other(rate: Fraction, weight: Fraction, strength: Fraction) -> None:
    """The dose that a rate gives needs that rate again, exactly."""
    bag = {"weight": kg(weight), "concentration": quantity(strength, "mcg/mL")}
    dose = calclib.formulas.dose_by_weight_from_pump_rate(quantity(rate, "mL/h"), **bag)

    assert calclib.formulas.pump_rate_from_dose_by_weight(dose, **bag).magnitude == rate


@given(weight=weights)
def test_maintenance_is_continuous_and_rises_with_weight(weight: Fraction) -> None:
    """A little more weight never makes the rate jump or fall."""
    rate = calclib.formulas.maintenance_fluid_rate
    more = rate(kg(weight + Fraction(1, 100))).magnitude - rate(kg(weight)).magnitude

    assert Fraction(1, 100) <= more <= Fraction(4, 100)


@given(low=st.integers(1, 40), span=st.integers(1, 40), share=st.integers(0, 10))
def test_mixing_gives_the_wanted_strength(low: int, span: int, share: int) -> None:
    """The drug in both parts together is the drug in the mixture."""
    wanted = low + Fraction(span * share, 10)
    percents = [quantity(Fraction(x), "%") for x in (low, low + span, wanted)]
    weak, strong = calclib.formulas.alligation(
        percents[0], high=percents[1], wanted=percents[2], total=quantity("100 mL")
    )

    assert weak.magnitude + strong.magnitude == 100
    assert weak.magnitude * low + strong.magnitude * (low + span) == 100 * wanted


def test_both_forms_of_creatinine_agree_roughly() -> None:
    """1.2 mg/dL and its 106 micromol/L (88.4 to the mg/dL, from memory) lead to clearances within 2%."""
    person = {"age": quantity("68 yr"), "weight": kg(60)}
    for sex in ("male", "female"):
        mass = calclib.formulas.creatinine_clearance_cockcroft_gault(quantity("1.2 mg/dL"), **person, sex=sex)
        moles = calclib.formulas.creatinine_clearance_cockcroft_gault(
            quantity(Fraction("1.2") * Fraction("88.4"), "mcmol/L"), **person, sex=sex
        )

        assert abs(mass.magnitude / moles.magnitude - 1) < Fraction(2, 100)
