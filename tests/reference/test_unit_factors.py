"""Unit factors against scipy.constants and UCUM: equal where exact, off by the known share where taught."""

from __future__ import annotations

import tomllib
import warnings
from collections.abc import Callable
from fractions import Fraction
from itertools import permutations
from typing import Any

import pytest
import scipy.constants

from calclib.quantity.equivalences import bridge_factor, equivalences
from calclib.quantity.registry import definitions, registry
from calclib.quantity.rounding import RoundingBand, RoundingRule
from calclib.quantity.units import parse_unit, unit_table
from tests.reference.published import HERE, at_printed_digits

VALUES: dict[str, Any] = tomllib.loads((HERE / "reference_values.toml").read_text(encoding="utf-8"))
# scipy and UCUM compute in binary: their last digits wobble.
CLOSE = Fraction(1, 10**12)

# Our symbol and UCUM's code for it. Left out: gtt (UCUM fixes a drop at 1/20 mL), tablets, doses, %TBSA, kcal.
UCUM_CODES = {
    "mg": "mg",
    "mcg": "ug",
    "ng": "ng",
    "g": "g",
    "kg_drug": "kg",
    "grain": "[gr]",
    "units": "[iU]",
    "milliunits": "m[iU]",
    "mmol": "mmol",
    "mol": "mol",
    "mcmol": "umol",
    "kg": "kg",
    "g_weight": "g",
    "lb": "[lb_av]",
    "oz_weight": "[oz_av]",
    "mL": "mL",
    "L": "L",
    "mcL": "uL",
    "dL": "dL",
    "tsp": "[tsp_us]",
    "tbsp": "[tbs_us]",
    "oz": "[foz_us]",
    "cup": "[cup_us]",
    "pt": "[pt_us]",
    "qt": "[qt_us]",
    "gal": "[gal_us]",
    "h": "h",
    "min": "min",
    "s": "s",
    "day": "d",
    "wk": "wk",
    "m": "m",
    "cm": "cm",
    "mm": "mm",
    "in": "[in_i]",
    "ft": "[ft_i]",
}
SCIPY = {
    "min_per_h": scipy.constants.hour / scipy.constants.minute,
    "h_per_day": scipy.constants.day / scipy.constants.hour,
    "day_per_wk": scipy.constants.week / scipy.constants.day,
    "s_per_min": scipy.constants.minute,
    "cm_per_in": scipy.constants.inch / scipy.constants.centi,
    "in_per_ft": scipy.constants.foot / scipy.constants.inch,
    "oz_per_lb": scipy.constants.lb / scipy.constants.oz,
    "mcg_per_mg": scipy.constants.milli / scipy.constants.micro,
    "mg_per_g": 1 / scipy.constants.milli,
    "ng_per_mcg": scipy.constants.micro / scipy.constants.nano,
    "g_per_kg": scipy.constants.kilo,
    "mL_per_L": 1 / scipy.constants.milli,
    "cm_per_m": 1 / scipy.constants.centi,
}
KITCHEN = ["tsp", "tbsp", "oz", "cup", "pt", "qt", "gal"]
TAUGHT = {name: eq for name, eq in equivalences().items() if not eq.definition}


def close(ours: Fraction, theirs: Fraction) -> bool:
    """Whether two numbers differ by no more than binary noise."""
    return abs(ours / theirs - 1) < CLOSE


@pytest.fixture(scope="module")
def ucum_ratio() -> Callable[[str, str], Fraction]:
    """How many of the second symbol the first one makes, by UCUM."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ucumvert = pytest.importorskip("ucumvert")
        units = ucumvert.PintUcumRegistry()

    def ratio(first: str, second: str) -> Fraction:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            quantity = units.from_ucum(UCUM_CODES[first]) / units.from_ucum(UCUM_CODES[second])
            return Fraction(quantity.to_base_units().magnitude)

    return ratio


@pytest.mark.parametrize("name", sorted(SCIPY))
def test_definitions_equal_the_physical_constants(name: str) -> None:
    """A conversion that holds by definition is the published physical constant."""
    assert equivalences()[name].definition
    assert close(equivalences()[name].value, Fraction(SCIPY[name]))


def test_every_definition_equals_ucum(ucum_ratio: Callable[[str, str], Fraction]) -> None:
    """A conversion that holds by definition is UCUM's, for every pair of units that UCUM knows."""
    compared = {
        name: close(eq.value, ucum_ratio(eq.per, eq.of))
        for name, eq in equivalences().items()
        if eq.definition and {eq.of, eq.per} <= set(UCUM_CODES)
    }

    assert len(compared) >= 22
    assert [name for name, same in compared.items() if not same] == []


@pytest.mark.parametrize(("start", "end"), list(permutations(KITCHEN, 2)), ids=lambda symbol: symbol)
def test_kitchen_measures_convert_as_in_ucum(start: str, end: str, ucum_ratio: Callable[[str, str], Fraction]) -> None:
    """Kitchen measures make each other by their own steps, without a way by the rounded mL or L."""
    factor = bridge_factor(parse_unit(start, "volume"), parse_unit(end, "volume"), {})

    assert factor is not None
    assert close(factor, ucum_ratio(start, end))


@pytest.mark.parametrize("name", sorted(TAUGHT))
def test_taught_values_are_off_by_the_known_share(name: str, ucum_ratio: Callable[[str, str], Fraction]) -> None:
    """A taught conversion differs from the exact one by as much as its entry says, and by no more."""
    eq = TAUGHT[name]
    per_cent = (eq.value / ucum_ratio(eq.per, eq.of) - 1) * 100
    printed = VALUES["taught_too_large"][name]
    rule = RoundingRule("share", "%", (RoundingBand(None, Fraction(1, 100)),), "nearest", "half_up", eq.source)

    assert rule.rounded(per_cent) == Fraction(printed)


def test_the_exact_pound_is_among_the_variants() -> None:
    """One of the published values of a pound is the exact one, to the digit."""
    exact = [value for value, source in equivalences()["lb_per_kg"].variants if source == "nist_sp811"]

    assert exact == [1 / Fraction("0.45359237")]
    assert f"{scipy.constants.lb:.8f}" == "0.45359237"


@pytest.mark.parametrize("row", VALUES["equivalence"], ids=lambda row: row["id"])
def test_equivalences_hold_the_printed_number(row: dict[str, Any]) -> None:
    """What a source prints for a conversion is among the values that we know for it."""
    eq = equivalences()[row["name"]]
    values = [eq.value, *(value for value, _ in eq.variants)]

    assert Fraction(row["printed"]) in values


def test_the_registry_holds_every_unit_with_the_taught_factors(ucum_ratio: Callable[[str, str], Fraction]) -> None:
    """Each unit of the table is in the registry, and with exact conversions asked for its factor is UCUM's."""
    exact = {name: ucum_ratio(eq.per, eq.of) for name, eq in TAUGHT.items()}
    built = registry(tuple(exact.items()))
    table = unit_table()
    bases = {dimension: base for dimension, base in table.base_symbols.items() if base in UCUM_CODES}

    wrong = [
        symbol
        for symbol, dimension in table.dimension_of.items()
        if symbol in UCUM_CODES
        and not close(
            built.Quantity(Fraction(1), symbol).to(bases[dimension]).magnitude, ucum_ratio(symbol, bases[dimension])
        )
    ]

    assert len(definitions()) == len(table.dimension_of) + 1
    assert wrong == []


def test_both_temperature_scales_are_exact() -> None:
    """Freezing, body and boiling temperature convert without a rounding error, as scipy has the zero point."""
    built = registry()
    pairs = {"0": "32", "37": "98.6", "100": "212", "-40": "-40"}

    for celsius, fahrenheit in pairs.items():
        assert built.Quantity(Fraction(celsius), "degC").to("degF").magnitude == Fraction(fahrenheit)
    zero = built.Quantity(Fraction(0), "degC").to("kelvin").magnitude
    assert zero == at_printed_digits(Fraction(scipy.constants.zero_Celsius), "273.15")
