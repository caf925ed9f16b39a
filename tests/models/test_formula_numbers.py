"""Numbers of formulas in item models: each stands once, with its source."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from calclib.errors import BadInput
from calclib.models import item_model, read_item_model
from tests.models.own_model import OWN_MODEL

BANK = Path(__file__).resolve().parents[2] / "calclib" / "models" / "bank"

FORMULA_NUMBERS = (
    "0.007184", "0.725", "0.425", "0.024265", "0.3964", "0.5378", "3600 cm.kg/m4",
    "45.5 kg", "2.3 kg/in", "140 yr", "72 yr.kg.dL.min/mg/mL", "4 mL/kg/%TBSA",
)  # fmt: skip


@pytest.mark.parametrize("number", FORMULA_NUMBERS)
def test_a_number_of_a_formula_stands_once(number: str) -> None:
    """No item model writes a number of a formula again: it names the one in constants.toml."""
    again = [
        path.name for path in sorted(BANK.glob("*.toml")) if re.search(rf'"{re.escape(number)}[" ]', path.read_text())
    ]
    assert again == []


def test_a_named_number_is_the_formulas() -> None:
    """Constants, cells of tables and bands have the number that the source prints."""
    assert item_model("body-surface-dose").constants["divisor"][0] == Fraction(3600)
    assert item_model("body-surface-child").constants["factor"][0] == Fraction("0.024265")
    assert [row["base"] for row in item_model("ideal-weight-dose").rows["patients"]] == ["45.5 kg", "50 kg"]
    (band,) = (step for step in item_model("maintenance-fluid-who").steps if step.kind == "band")
    assert [one["rate"] for one in band.fields["bands"]] == ["100 mL/kg/day", "50 mL/kg/day", "25 mL/kg/day"]


def test_an_unknown_number_is_refused_with_its_line() -> None:
    """A name that no formula has is said where it stands, with the nearest that there is."""
    text = 'constants = { factor = "formulas.mostler_divisor" }\n' + OWN_MODEL
    with pytest.raises(
        BadInput, match="no formula has a number “mostler_divisor”; did you mean “mosteller_divisor”"
    ) as said:
        read_item_model(text, "mine.toml")
    assert said.value.line == 1
