from __future__ import annotations

from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, ends, square_root
from calclib.quantity.equivalences import bridge, bridge_factor, conversion, equivalences
from calclib.quantity.registry import definitions, magnitude, measures, pint_unit, quantity, registry
from calclib.quantity.units import Unit, parse_unit, unit_table

SYMBOLS = sorted(set(unit_table().dimension_of) - {"degC", "degF", "%", "%TBSA"})
numbers = st.fractions(min_value=Fraction(1, 1000), max_value=1000, max_denominator=1000)


def _converts(start: str, end: str) -> bool:
    try:
        return bool(conversion(start, end))
    except BadInput:
        return False


PAIRS = [(start, end) for start, end in permutations(SYMBOLS, 2) if _converts(start, end)]


def test_there_is_one_registry() -> None:
    """The registry is built once, and one with other equivalences is another."""
    assert registry() is registry()
    assert registry((("lb_per_kg", Fraction("2.20462")),)) is not registry()


def test_a_pound_is_the_taught_one_unless_asked_otherwise() -> None:
    """150 lb are 750/11 kg by 2.2, and exactly 68.0388555 kg by the definition."""
    exact = registry((("lb_per_kg", 1 / Fraction("0.45359237")),))

    assert magnitude(quantity("150 lb"), "kg", "weight") == Fraction(750, 11)
    assert exact.Quantity(Fraction(150), "lb").to("kg").magnitude == Fraction("68.0388555")


@pytest.mark.parametrize(("start", "end"), PAIRS, ids=lambda symbol: symbol)
def test_registry_and_equivalences_agree(start: str, end: str) -> None:
    """With the equivalences of a conversion held, the registry converts by the same factor, exactly."""
    have, want = Unit.of([(start, 1)]), Unit.of([(end, 1)])
    held = tuple((name, equivalences()[name].value) for name, _ in bridge(have, want) or ())
    converted = registry(held).Quantity(Fraction(7, 3), pint_unit(have, held)).to(pint_unit(want, held)).magnitude

    assert isinstance(converted, Fraction)
    factor = bridge_factor(have, want, {})
    assert factor is not None
    assert converted == factor * Fraction(7, 3)


def test_a_quart_is_four_cups_or_its_share_of_a_liter() -> None:
    """4 cups of 240 mL and 1.06 qt/L don't fit on one scale: what is held is true, and by default the liter."""
    kitchen = registry((("pt_per_qt", Fraction(2)), ("cup_per_pt", Fraction(2))))
    liter = Fraction(1000) / Fraction("1.06")

    assert kitchen.Quantity(Fraction(1), "qt").to("cup").magnitude == 4
    assert kitchen.Quantity(Fraction(1), "qt").to("mL").magnitude == 960
    assert registry((("qt_per_L", Fraction("1.06")),)).Quantity(Fraction(1), "qt").to("mL").magnitude == liter
    assert registry().Quantity(Fraction(1), "qt").to("mL").magnitude == liter


def test_body_weight_is_no_drug_mass() -> None:
    """A dose per kg of body weight keeps its kg; a kg of a drug is something else."""
    dose = quantity("2 mcg/kg/min")

    assert str(dose) == "2 mcg/kg/min"
    assert not measures(dose, "h")
    assert not measures(quantity("5 g"), "kg")
    assert magnitude(quantity("3250 g", kind="body_weight"), "kg", "weight") == Fraction("3.25")
    with pytest.raises(BadInput, match="weight is in kg or the like, not in mg"):
        magnitude(quantity("5 mg"), "kg", "weight")


@given(x=numbers, powers=st.dictionaries(st.sampled_from(SYMBOLS), st.integers(-2, 2), max_size=4))
def test_every_quantity_prints(x: Fraction, powers: dict[str, int]) -> None:
    """Printing never fails, whatever unit, and shows no trailing zero and no bare fraction bar in the number."""
    amount = registry().Quantity(x, pint_unit(Unit.of(powers.items())))

    for text in (
        repr(amount.units),
        repr(amount.to_base_units()),
        str(amount),
        f"{amount:.2f}",
        f"{amount:P}",
        amount._repr_html_(),
        str(amount.units),
        repr(amount),
    ):
        assert text


@pytest.mark.parametrize(
    ("text", "spec", "shown"),
    [
        ("1 mL", "", "1 mL"),
        ("150 lb", "", "150 lb"),
        ("1250 mL", "", "1,250 mL"),
        ("2 tab", "", "2 tablets"),
        ("1 units/h", "", "1 unit/h"),
        ("0.9 %", "", "0.9%"),
        ("2.675 mL", ".2f", "2.68 mL"),
        ("5 mL", ".1f", "5 mL"),
    ],
)
def test_quantities_print_in_safe_notation(text: str, spec: str, shown: str) -> None:
    """What pint prints follows the rules that the course teaches."""
    assert format(quantity(text), spec) == shown


def test_numbers_without_an_end_print_as_about() -> None:
    """A third and a root say that they are not written in full."""
    assert str(quantity(Fraction(1, 3), "mL")) == "about 0.333333 mL"
    assert str(quantity(square_root(2), "m2")) == "about 1.41421 m2"
    assert str(quantity("1 cm") ** Fraction(1, 2)).endswith("cm^(1/2)")


def test_enclosures_pass_through_units() -> None:
    """A root keeps its promise through a conversion."""
    area = quantity(square_root(2), "m2").to("cm**2")

    assert isinstance(area.magnitude, Enclosure)
    low, high = ends(area.magnitude)
    assert low * low < 2 * 10**8 < high * high


def test_floats_and_bare_numbers_are_refused() -> None:
    """A float never enters, and a number without a unit is told so."""
    with pytest.raises(BadInput, match="in quotes"):
        quantity(0.1, "mg")  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="must be exact"):
        magnitude(registry().Quantity(0.1, "kg"), "kg", "weight")
    with pytest.raises(BadInput, match="weight needs a unit, such as kg"):
        magnitude(70, "kg", "weight")  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="not a unit"):
        quantity("5 firkins")
    with pytest.raises(BadInput, match="no equivalence"):
        registry((("firkins_per_kg", Fraction(1)),))


def test_definitions_come_from_the_tables() -> None:
    """There is one definition for each clinical unit, and none else but the kelvin."""
    names = [line.partition(" =")[0] for line in definitions()]

    assert len(names) == len(set(names)) == len(unit_table().dimension_of) + 1
    assert parse_unit("mcg/kg/min").powers == (("mcg", 1), ("kg", -1), ("min", -1))
