"""Every dose and rate that a model of the bank can draw is one that a ward orders, whatever happens to be drawn."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import Path

import pytest

from calclib.formulary.amount import amount
from calclib.formulary.as_ordered import (
    OrderedUnits,
    is_dose_as_ordered,
    is_per_kilogram_as_ordered,
    is_rate_as_ordered,
    ordered_units,
)
from calclib.formulary.catalogue import drug_named
from calclib.formulary.practical import is_as_ordered
from calclib.formulary.records import Drug
from calclib.items.as_ordered import amount_is_as_ordered, drug_ordered, ordered_givens
from calclib.models import ItemModel, bank
from calclib.models.draws import drawn
from calclib.models.formulary_rows import own_text
from calclib.models.model import Choices, FromRow, GivenModel, Grid, TableRow
from calclib.models.orders import OrderModel
from calclib.models.stated import Stated, in_unit, read_own, restated
from calclib.quantity.units import parse_unit

SOLD_SO = {"1,250 mg"}
"""Vancomycin in a vial of 1.25 g, which the formulary doesn't have yet."""
PROGRAMMED = {"analgesia-review"}
"""A pump gives any tenth of a mg for each press."""
BOOKS = Path(__file__).parents[2] / "calclib" / "lessons" / "books"


def ordered_values(model: ItemModel) -> Iterator[tuple[OrderModel, GivenModel, Stated, Drug | None, bool]]:
    """Each value with which a dose or a rate of an order may be drawn, as it is stated, and whether it is listed."""
    for name, order in ordered_givens(model):
        given = model.givens[name]
        rows: list[dict[str, Mapping[str, object]]] = [{}]
        if isinstance(given.draw, FromRow):
            table = model.givens[given.draw.row].draw
            assert isinstance(table, TableRow)
            rows = [{given.draw.row: row} for row in model.rows[table.table]]
        for row in rows:
            cell = given.draw
            if isinstance(cell, FromRow):
                cell = drawn(name, row[cell.row][cell.column], given.unit, given.kind)
            forms = given.forms
            if isinstance(forms, FromRow):
                forms = () if forms.row not in row else tuple(row[forms.row][forms.column])  # type: ignore[arg-type]
            for value in values_of(given, cell):
                yield (
                    order,
                    given,
                    (restated(given, value, forms[0]) if forms else None) or value,
                    drug_ordered(model, order, row),
                    isinstance(cell, Choices),
                )


def values_of(given: GivenModel, cell: object) -> Iterator[Stated]:
    """Every value of a list or a range."""
    assert given.unit is not None
    if isinstance(cell, Choices):
        yield from (read_own(given, text) for text in cell.texts)
    elif isinstance(cell, Grid):
        yield from (in_unit(given, cell.at(place), given.unit, Fraction(1)) for place in range(cell.size))


def test_every_dose_that_a_model_lists_is_one_that_is_ordered() -> None:
    """A dose or a rate that a row names by itself has a number that a ward orders, or one that a label prints."""
    odd = {
        (model.id, value.text)
        for model in bank().values()
        for order, given, value, drug, listed in ordered_values(model)
        if listed and not amount_is_as_ordered(model, order, given, value, drug)
    }
    assert {one for one in odd if one[1] not in SOLD_SO and one[0] not in PROGRAMMED} == set()


def test_every_range_of_doses_holds_one_that_is_ordered() -> None:
    """No row of a table is left out of all draws because nobody orders any of its numbers."""
    ordered: dict[tuple[str, str, str], bool] = {}
    for model in bank().values():
        for order, given, value, drug, listed in ordered_values(model):
            if not listed:
                key = (model.id, given.name, drug.name if drug else "")
                ordered[key] = ordered.get(key, False) or amount_is_as_ordered(model, order, given, value, drug)
    assert {key for key, some in ordered.items() if not some} == set()


@pytest.mark.parametrize(
    ("drug", "dose", "ordered"),
    [
        ("diphenhydramine", "25 mg", True),
        ("diphenhydramine", "45 mg", False),
        ("diphenhydramine", "30 mg", False),
        ("ceftriaxone", "1 g", True),
        ("ceftriaxone", "1,600 mg", False),
        ("piperacillin-tazobactam", "3.375 g", True),
        ("diazepam", "8.75 mg", False),
        ("gabapentin", "300 mg", True),
        ("clindamycin", "350 mg", False),
        ("potassium chloride", "20 mEq", True),
        ("potassium chloride", "38 mEq", False),
    ],
)
def test_a_fixed_dose_is_of_whole_or_half_units(drug: str, dose: str, *, ordered: bool) -> None:
    """Halves and wholes of what a tablet, a vial or the measure on a label holds, by hand from such labels."""
    assert is_dose_as_ordered(amount(dose), ordered_units(drug_named(drug))) is ordered


@pytest.mark.parametrize(
    ("drug", "dose", "ordered"),
    [
        ("vancomycin", "15 mg/kg", True),
        ("vancomycin", "12.5 mg/kg", True),
        ("vancomycin", "11 mg/kg", False),
        ("vancomycin", "11.5 mg/kg", False),
        ("acyclovir", "17 mg/kg", False),
        ("piperacillin-tazobactam", "112.5 mg/kg", True),
        ("heparin", "18 units/kg/h", True),
        ("heparin", "13 units/kg/h", False),
        ("dopamine", "7.5 mcg/kg/min", True),
        ("dopamine", "6.5 mcg/kg/min", False),
    ],
)
def test_a_dose_for_each_kilogram_is_one_that_is_ordered(drug: str, dose: str, *, ordered: bool) -> None:
    """10, 12.5, 15, 20 and the like, steps of heparin, and what a label prints for the drug."""
    assert is_per_kilogram_as_ordered(amount(dose), ordered_units(drug_named(drug))) is ordered


@pytest.mark.parametrize(
    ("rate", "ordered"),
    [("12.5 mg/h", True), ("14.5 mg/h", False), ("35 mcg/min", True), ("33 mcg/min", False), ("1,280 units/h", True)],
)
def test_a_fixed_rate_is_one_that_is_ordered(rate: str, *, ordered: bool) -> None:
    """Whole steps of a protocol, and any number of units that a weight led to."""
    assert is_rate_as_ordered(amount(rate), OrderedUnits()) is ordered


def test_two_strengths_are_taken_together_only_where_no_tablet_holds_the_dose() -> None:
    """Nobody takes 40 mg and twice 5 mg where tablets of 10 mg are sold: neither the dose nor a part is a tablet."""
    model = bank()["dose-from-tablets"]
    odd = set()
    for row in model.rows["medicines"]:
        held = {
            strength.value
            for one in drug_named(str(row["drug"])).presentations
            if (strength := one.strength.in_unit(parse_unit("mg"))) is not None
        }
        high, low = (read_own(model.givens[name], _only(row[column])).working for name, column in STRENGTHS)
        assert high is not None and low is not None
        for strong in map(Fraction, row["strongs"]):  # type: ignore[call-overload]
            for weak in map(Fraction, row["weaks"]):  # type: ignore[call-overload]
                dose = strong * high + weak * low
                split = {strong * high, weak * low} & (held - {high, low})
                if dose in held or split or not is_as_ordered(dose):
                    odd.add((row["drug"], strong, high, weak, low))
    assert odd == set()


STRENGTHS = (("high", "highs"), ("low", "lows"))


def _only(cell: object) -> str:
    """The one strength of a row's column."""
    (text,) = cell if isinstance(cell, (list, tuple)) else (cell,)
    return str(text)


def test_a_fluid_without_a_drug_runs_at_a_rate_that_is_ordered() -> None:
    """An order says 125 mL/h and not 129 mL/h: rates that no dose leads to are multiples of 5 mL/h."""
    odd = {
        (model.id, value.text)
        for model in bank().values()
        if not any(given.kind == "mixture" for given in model.givens.values())
        for given in model.givens.values()
        if given.kind == "flow_rate" and given.unit == parse_unit("mL/h")
        for cell in _cells(model, given)
        for value in values_of(given, cell)
        if value.working is not None and value.working % 5
    }
    assert odd == set()


def _cells(model: ItemModel, given: GivenModel) -> list[object]:
    """What a given may be drawn from: its own list or range, or that of each row."""
    if not isinstance(given.draw, FromRow):
        return [given.draw]
    table = model.givens[given.draw.row].draw
    assert isinstance(table, TableRow)
    column = given.draw.column
    return [drawn(given.name, row[column], given.unit, given.kind) for row in model.rows[table.table]]


def test_no_patient_of_a_problem_has_the_name_of_a_person_of_the_lessons() -> None:
    """A nurse whom lessons know is never a patient of a problem."""
    told = " ".join(path.read_text(encoding="utf-8") for path in sorted(BOOKS.glob("*.toml")))
    people = set(re.findall(r"(?:Mr|Ms|Mrs|Dr|Nurse)\.? ([A-Z][a-z]+)", told))
    assert {"Okafor", "Webb"} <= people
    named = {
        (model.id, name)
        for model in bank().values()
        for name in re.findall(r"\b[A-Z]\. ([A-Z][a-z]+)", own_text(model.text))
        if name in people
    }
    assert named == set()
