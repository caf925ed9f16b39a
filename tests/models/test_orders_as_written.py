"""Orders are written as a pharmacist would sign them and a nurse would read them, whatever is drawn."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from fractions import Fraction

import pytest

from calclib.cli.solutions import worked_of
from calclib.formulary.body import shipped_body
from calclib.formulary.catalogue import drug_named
from calclib.formulary.practical import is_as_ordered
from calclib.formulary.records import AgeGroup
from calclib.items.drawing import draw_item
from calclib.items.item import Item
from calclib.models import ItemModel, bank
from calclib.models.draws import drawn
from calclib.models.formulary_rows import own_text
from calclib.models.model import Choices, FromRow, GivenModel, Grid
from calclib.models.selected_figures import PACKED
from calclib.models.stated import read_own, read_stated
from tests.items.drawn import drawn_items

AGE = re.compile(r"\b(\d+[- ](?:day|week|month|year)s?[- ]old|\d+ (?:months|years)\b|[Nn]ewborn|[Ii]nfant|baby)")
"""How a stem tells an age."""
WEIGHED_ALONE = {"body-mass-index", "pounds-to-kilograms", "kilograms-to-pounds", "label-weight-volume"}
"""Problems of measures, in which nothing is ordered for the patient, and a label that goes by pounds alone."""
DOSES = {"orders", "doses", "dose", "maximum", "most", "adults", "low", "high"}
"""Columns of doses and of what bounds them."""
UNWEIGHED = {"teaspoons-to-milliliters"}
"""A parent tells what a child has had; nothing is ordered in it."""
IDENTIFIED = re.compile(r"[A-Z]\. \w+, record number \d{3}-\d{3}\b")


MINUTES = {1, 2, 3, 4, 5, 10, 15, 20, 30, 45, 60, 90, 120, 150, 180}
"""Times of an infusion or a push that are ordered, up to 3 h; longer ones are ordered in whole hours."""
BAGS = {25, 50, 100, 150, 200, 250, 500, 1000}
"""Bags of fluid that are made, in mL; a drug's own bags and bottles stand in the formulary."""
IN_TIME = re.compile(r"(?<!usually given )(?:over|takes|the first takes|, the second|each over) \{(\w+)\}")
"""Where a stem or a paper says in what time something runs in."""
OF_FLUID = re.compile(r"(?:Order: |^)\{(\w+)\} of (?:\{fluid\}|[a-z0-9.% ]+) (?:IV over|is hung)")
"""Where a stem orders a volume of fluid in a time."""
IN_BAG = re.compile(
    r"(?:[Bb]ag of|[Bb]ags of|[Bb]ag with|[Bb]ags with|bag holds|bags on hand hold|is added to|was added to a|to a"
    r"|labeled|IV in|(?:dose|amount)\} in|you hang|[Aa] bag with) \{(\w+)\}(?! in all)"
)
"""Where a stem or a paper names a bag."""
STEPS = {Fraction(one) for one in ("0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1", "2", "2.5", "5")}
"""Steps by which a dose in mcg/kg/min is raised."""
FACTOR = re.compile(r"([\d,.]+ [A-Za-z%]+)/([\d,.]+ [A-Za-z%]+)")
"""A conversion as a board shows it, such as 1,000 mcg/1 mg."""


def every_item() -> list[tuple[ItemModel, Item]]:
    """A few items of each model."""
    return [(model, item) for model in bank().values() for item in drawn_items(model.id)]


@pytest.mark.parametrize("number", ["12.5", "15", "40", "62.5", "125", "750", "1200", "0.075", "4500"])
def test_numbers_with_which_a_dose_is_ordered(number: str) -> None:
    """Tablets, vials and syringes hold such amounts, their halves and their doubles."""
    assert is_as_ordered(Fraction(number))


@pytest.mark.parametrize(
    "number", ["28", "61", "101", "4.8", "0.525", "1325", "17", "1.23", "1400", "18", "5.5", "0.95"]
)
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


def values_drawn(model: ItemModel, given: GivenModel) -> Iterator[Fraction]:
    """Every value with which a given may be drawn, in its working unit; nothing for one that a formula gives."""
    cells: list[object] = [given.draw]
    if isinstance(given.draw, FromRow):
        column = given.draw.column
        rows = [row[column] for rows in model.rows.values() for row in rows if column in row]
        cells = [drawn(given.name, cell, given.unit, given.kind) for cell in rows]
    for cell in cells:
        if isinstance(cell, Choices):
            found = [read_own(given, text).working for text in cell.texts]
            yield from (value for value in found if value is not None)
        elif isinstance(cell, Grid):
            yield from (cell.start + place * cell.step for place in range(cell.size))


def said_in(model: ItemModel, words: re.Pattern[str], kind: str) -> Iterator[GivenModel]:
    """The givens of a kind that a stem or a paper says with these words."""
    texts = [model.stem, *(line for paper in model.papers for line in paper.lines)]
    for text in texts:
        for name in words.findall(" ".join(text.split())):
            given = model.givens.get(name)
            if given is not None and given.kind == kind:
                yield given


def test_an_infusion_runs_in_a_time_that_is_ordered() -> None:
    """Over 30 or 45 minutes, never over 35: whatever a model may draw, and not only what it happens to draw."""
    odd = set()
    for model in bank().values():
        for given in said_in(model, IN_TIME, "duration"):
            for value in values_drawn(model, given):
                minutes = value * {"min": 1, "h": 60}[str(given.unit)]
                if minutes not in MINUTES and (minutes <= 180 or minutes % 60):
                    odd.add((model.id, given.name, minutes))
    assert odd == set()


def test_a_volume_with_a_time_is_one_that_is_ordered() -> None:
    """Fifties up to 1 L and quarters of a liter above: 750 mL or 1.25 L over some hours, never 625 mL or 1,350 mL."""
    odd = set()
    for model in bank().values():
        for given in said_in(model, OF_FLUID, "volume"):
            for value in values_drawn(model, given):
                if str(given.unit) == "mL" and value % (50 if value <= 1000 else 250):
                    odd.add((model.id, given.name, value))
    assert odd == set()


def test_a_bag_holds_what_bags_hold() -> None:
    """Fluids come in bags of 50 to 1,000 mL, and a drug in those of its own: no stem hangs one of 825 mL."""
    odd = set()
    for model in bank().values():
        named = (
            {str(row["drug"]) for rows in model.rows.values() for row in rows if "drug" in row}
            if model.orders
            else set()
        )
        own = {size.value for name in named for one in drug_named(name).presentations for size in one.volumes}
        for given in said_in(model, IN_BAG, "volume"):
            odd |= {
                (model.id, given.name, value)
                for value in values_drawn(model, given)
                if str(given.unit) == "mL" and value not in BAGS | own
            }
    assert odd == set()


def test_a_dose_is_raised_by_a_step_that_is_ordered() -> None:
    """Dopamine goes up by 5 mcg/kg/min at most, and every step is a number that a protocol prints."""
    odd = {
        (model.id, value)
        for model in bank().values()
        for given in model.givens.values()
        if given.name == "step" and str(given.unit) == "mcg/kg/min"
        for value in values_drawn(model, given)
        if value not in STEPS
    }
    assert odd == set()


def test_no_unit_is_left_and_come_back_to_on_one_board() -> None:
    """From mcg to mg and to mcg again is a detour; days, hours and doses meet twice in a frequency and a time."""
    for model, item in every_item():
        for part, lines in worked_of(item, model).items():
            factors = {pair for line in lines for pair in FACTOR.findall(line)}
            back = {(over, under) for over, under in factors if (under, over) in factors}
            assert {pair for pair in back if "1 day" not in pair and "dose" not in "".join(pair)} == set(), (
                model.id,
                part,
                back,
            )


def test_no_board_looks_up_a_zero_that_is_only_added() -> None:
    """Half past four has nothing to take off: a row of a table that adds 0 is not shown."""
    for model, item in every_item():
        for lines in worked_of(item, model).values():
            assert not [line for line in lines if re.match(r"Look up .* = 0 min$", line)], model.id


def test_a_child_is_weighed_wherever_a_dose_is_told() -> None:
    """An amount for a child can't be judged without a weight, a surface, or an age by which a label doses."""
    without = {
        model.id
        for model in bank().values()
        for order in model.orders
        if order.words.get("group") in ("child", "newborn") and not {"weight", "area"} & set(order.amounts)
    }
    assert without == UNWEIGHED


def test_no_dose_takes_more_than_three_vials() -> None:
    """A pharmacy sends the next larger vial before a nurse opens five."""
    vials = [draw_item(bank()["vials-to-open"], f"vials {number}") for number in range(30)]

    assert {int(one.parts[0].answer.split()[0]) for one in vials} <= {2, 3}


def test_an_order_with_its_label_names_the_patient_twice() -> None:
    """Where a stem prints an order and a label for one patient, both carry the name and the record number."""
    for seed in ("first", "second", "third"):
        item = draw_item(bank()["order-and-label"], seed)
        named = IDENTIFIED.findall(re.sub(r", \d+ years old", "", item.stem))

        assert len(named) == 2 and len(set(named)) == 1
