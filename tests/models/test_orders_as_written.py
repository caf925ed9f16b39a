"""Orders are written as a pharmacist would sign them and a nurse would read them, whatever is drawn."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction

import pytest

from calclib.cli.solutions import worked_of
from calclib.formulary.body import shipped_body
from calclib.formulary.practical import is_as_ordered
from calclib.formulary.records import AgeGroup
from calclib.items.item import Item
from calclib.models import ItemModel, bank
from calclib.models.formulary_rows import own_text
from calclib.models.model import Choices, FromRow, GivenModel
from calclib.models.selected_figures import PACKED
from calclib.models.stated import read_own, read_stated
from tests.items.drawn import drawn_items

AGE = re.compile(r"\b(\d+[- ](?:day|week|month|year)s?[- ]old|\d+ (?:months|years)\b|[Nn]ewborn|[Ii]nfant|baby)")
"""How a stem tells an age."""
WEIGHED_ALONE = {"body-mass-index", "pounds-to-kilograms", "kilograms-to-pounds", "label-weight-volume"}
"""Problems of measures, in which nothing is ordered for the patient, and a label that goes by pounds alone."""
DOSES = {"orders", "doses", "dose", "maximum", "most", "adults", "low", "high"}
"""Columns of doses and of what bounds them."""
IDENTIFIED = re.compile(r"[A-Z]\. \w+, record number \d{3}-\d{3}\b")


def every_item() -> list[tuple[ItemModel, Item]]:
    """A few items of each model."""
    return [(model, item) for model in bank().values() for item in drawn_items(model.id)]


@pytest.mark.parametrize("number", ["12.5", "15", "40", "62.5", "125", "750", "1200", "0.075", "4500"])
def test_numbers_with_which_a_dose_is_ordered(number: str) -> None:
    """Tablets, vials and syringes hold such amounts, their halves and their doubles."""
    assert is_as_ordered(Fraction(number))


@pytest.mark.parametrize("number", ["28", "61", "101", "4.8", "0.525", "1325", "17", "1.23"])
def test_numbers_with_which_no_fixed_dose_is_ordered(number: str) -> None:
    """Hydralazine 28 mg or furosemide 61 mg come from no order but from a sum."""
    assert not is_as_ordered(Fraction(number))


def test_the_age_goes_with_the_weight_wherever_something_is_ordered() -> None:
    """A weight without an age can't be judged: each stem with the first tells the second."""
    without = {
        model.id
        for model, item in every_item()
        if any(given.kind == "body_weight" and given.role == "stated" for given in model.givens.values())
        and model.id not in WEIGHED_ALONE
        and not AGE.search(item.in_words)
        and not item.stem.startswith("An adult")
    }
    assert without == set()


@pytest.mark.parametrize(
    ("weight", "fits", "does_not"),
    [("4.5", "2 months", "2 years"), ("10", "12 months", "6 years"), ("20", "6 years", "12 months")],
)
def test_a_drawn_age_goes_with_the_weight(weight: str, fits: str, does_not: str) -> None:
    """By the growth charts: half of six-year-olds weigh about 20 kg, and no one-year-old does."""
    ages = shipped_body().ages_for(Fraction(weight), AgeGroup.CHILD)
    assert fits in ages
    assert does_not not in ages


def test_bags_and_times_are_written_as_an_order_writes_them() -> None:
    """600 mL and 6.5 h are drawn, never 0.6 L or 390 min, where the working unit leaves the choice."""
    odd = set()
    for model, item in every_item():
        for given in item.givens:
            known = model.givens.get(given.name)
            kind = (known.kind, str(known.unit)) if known is not None else ("", "")
            if known is None or known.role == "hidden" or kind not in (("volume", "mL"), ("duration", "h")):
                continue
            value = read_stated(known, given.text).working
            if value is not None and (
                (given.text.endswith(" L") and value < 1000) or (given.text.endswith(" min") and value > 3)
            ):
                odd.add((model.id, given.text))
    assert odd == set()


def test_no_fixed_dose_has_a_number_that_nobody_orders() -> None:
    """Where neither weight nor surface leads to a dose that is drawn from a range, it is one of an order."""
    odd = set()
    for model, item in every_item():
        fixed = {
            power.name
            for order in model.orders
            if not {"weight", "area"} & set(order.amounts)
            for power in order.amounts.get("dose", ())
        }
        for given in item.givens:
            known = model.givens.get(given.name)
            tablets = any(one.kind == "drug_per_tab" for one in model.givens.values())
            if known is None or given.name not in fixed or known.kind != "drug_amount" or tablets:
                continue
            value = read_stated(known, given.text).working
            counted = str(known.unit) == "units" and value is not None and value < 100
            if value is None or counted or is_as_ordered(value) or value in _listed(model, known):
                continue
            odd.add((model.id, given.text))
    assert odd == set()


def _listed(model: ItemModel, given: GivenModel) -> set[Fraction | None]:
    """The amounts that a row or the given itself names one by one, such as those on a label."""
    cells: list[object] = []
    if isinstance(given.draw, FromRow):
        cells = [row[given.draw.column] for rows in model.rows.values() for row in rows if given.draw.column in row]
    elif isinstance(given.draw, Choices):
        cells = [list(given.draw.texts)]
    texts = [text for cell in cells for text in (cell if isinstance(cell, list) else [cell]) if isinstance(text, str)]
    return {read_own(given, text).working for text in texts}


def test_every_paper_of_a_decision_names_the_patient_twice() -> None:
    """Name and record number, on the order and on the record: one identifier is not enough."""
    for model, item in every_item():
        for paper in item.papers:
            if paper.kind in ("order", "record") and paper.title:
                assert IDENTIFIED.search(paper.title), (model.id, paper.title)


def test_a_dose_is_never_selected_from_what_a_package_holds() -> None:
    """The strength of a vial is no dose and no most of one: a selection cites what says so."""
    wrong = {
        (model.id, column)
        for model in bank().values()
        for rows in tomllib.loads(own_text(model.text)).get("table", {}).values()
        for row in rows
        for column, what in row.get("take", {}).items()
        if what in PACKED and column in DOSES
    }
    assert wrong == set()


def test_worked_solutions_hold_no_sign_and_no_constant_that_no_board_has() -> None:
    """No factor below zero and no “mg/mL/%”: what goes down is taken off, and 1% stands beside what it is."""
    for model, item in every_item():
        for lines in worked_of(item, model).values():
            for line in lines:
                assert not re.search(r"\(-|= -|\+ -|- -|/%\)|\+ 0 mL/h|- 0 min", line), (model.id, line)
