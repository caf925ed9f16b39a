"""Item models select from the formulary and copy no figure of a drug."""

from __future__ import annotations

import hashlib
import tomllib
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.errors.messages import BadInput
from calclib.formulary.body import shipped_body
from calclib.formulary.catalogue import drug_text
from calclib.formulary.practical import practical_range, practical_step
from calclib.items import draw_item
from calclib.models import ItemModel, bank
from calclib.models.formulary_rows import own_text
from calclib.models.model import FromRow
from calclib.models.reader import read_item_model
from calclib.models.selection import selected_rows
from calclib.quantity.units import parse_unit

OWN = '''\
id = "own-titration"
version = 1
title = "Rate of a titrated infusion"
topic = "own"
skill = "rate from a dose by weight"
order = 900
sources = ["common_practice"]
stem = """
Order: {medicine.drug} {dose} IV. The patient weighs {weight}. On hand: {medicine.drug} {bag}.
"""

[given.medicine]
kind = "row"
draw = "medicines"
columns = { drug = "text", bags = "draw", doses = "draw" }

[given.dose]
kind = "dose_by_weight_per_time"
unit = "mcg/kg/min"
draw = "medicine.doses"

[given.weight]
kind = "body_weight"
unit = "kg"
draw = { from = "50", to = "90", step = "0.5" }

[given.bag]
kind = "mixture"
unit = "mcg/mL"
draw = "medicine.bags"
forms = ["amount in volume"]

[[step]]
name = "rate"
kind = "product"
of = "dose * weight / bag"
unit = "mL/h"
says = "pump rate"

[[part]]
name = "rate"
asks = "rate"
asked = "At how many mL/h do you set the pump?"
unit = "mL/h"
rounding = "pump_rate"

[[table.medicines]]
formulary = { only = ["dopamine"], route = "IV", group = "newborn", form = "premixed bag" }
take = { bags = "contents", doses = "rate" }
'''


def changed(old: str, new: str) -> str:
    """The model with one text in the place of another, which it must hold."""
    assert old in OWN
    return OWN.replace(old, new)


def read(text: str) -> ItemModel:
    """The model of a text."""
    return read_item_model(text, "own.toml")


def test_a_row_selects_figures_with_their_sources() -> None:
    """Bags and rate are those of the drug's file: 2 to 20 mcg/kg/min for newborns, from memory, in steps of 1."""
    (row,) = read(OWN).rows["medicines"]

    assert row["drug"] == "dopamine"
    assert {"200 mg/250 mL", "800 mg/500 mL"} <= set(row["bags"])
    assert row["doses"] == {"from": "2", "to": "20", "step": "1", "unit": "mcg/kg/min"}
    assert row["sources"]["doses"] == "from_memory"
    assert row["sources"]["bags"] != "from_memory"


def test_a_range_never_passes_the_most_of_its_use() -> None:
    """Milrinone is usual up to 0.75 mcg/kg/min, at most 0.75: the range in the unit of the given ends there."""
    text = changed('"dopamine"], route = "IV", group = "newborn"', '"milrinone"], route = "IV", group = "adult"')
    rows = read(text).rows["medicines"]

    assert {row["doses"]["to"] for row in rows} == {"0.75"}


def test_a_step_of_its_own_takes_the_place_of_the_practical_one() -> None:
    """A model that needs finer steps says so, and the ends stay those of the formulary."""
    (row,) = read(f'{OWN}grid = {{ doses = "0.5 mcg/kg/min" }}\n').rows["medicines"]

    assert row["doses"] == {"from": "2", "to": "20", "step": "0.5", "unit": "mcg/kg/min"}


@pytest.mark.parametrize(
    ("high", "step"), [("20", "1"), ("80", "5"), ("500", "50"), ("0.75", "0.05"), ("22", "1"), ("1000", "100")]
)
def test_practical_steps(high: str, step: str) -> None:
    """The greatest of 1, 2.5 and 5 times a power of ten that is at most a tenth of the upper end."""
    assert practical_step(Fraction(high)) == Fraction(step)


def test_a_range_begins_and_ends_on_its_grid() -> None:
    """From 4.4 to 9.7 in halves are 4.5 to 9.5; a single number stays as it is."""
    found = practical_range(Fraction("4.4"), Fraction("9.7"), Fraction("0.5"))
    one = practical_range(Fraction("0.18"), Fraction("0.18"))

    assert (found.low, found.high, found.step) == (Fraction("4.5"), Fraction("9.5"), Fraction("0.5"))
    assert (one.low, one.high, one.step) == (Fraction("0.18"), Fraction("0.18"), 0)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"contents"', '"content of it"', "take: bags can't be “content of it”; did you mean “content”?"),
        ('"rate" }', '"dose" }', "the formulary has no contents, dose of dopamine that fits this selection"),
        ('"newborn"', '"baby"', "formulary: “baby” is not known here"),
        ("route =", "rout =", "formulary: “rout” selects nothing; did you mean “route”?"),
        ('"dopamine"', '"dopamin"', "the formulary has no drug “dopamin”; did you mean dopamine?"),
        ('"rate" }', '"rate" }\ngrid = { weight = "1 kg" }', "grid: weight is not taken from the formulary"),
    ],
)
def test_a_wrong_selection_is_said_with_its_line(old: str, new: str, says: str) -> None:
    """What can't be selected is one sentence, and the line is that of the table."""
    with pytest.raises(BadInput) as caught:
        read(changed(old, new))

    assert says in caught.value.message
    assert caught.value.line is not None


def test_a_selection_without_names_takes_every_drug_that_fits() -> None:
    """All powders that are made up: the label's water, what it makes, and what the powder takes up stay together."""
    head, _, _ = OWN.partition("[[table.medicines]]")
    selection = '[[table.medicines]]\nformulary = { route = "IM", group = "adult", has = "reconstitution" }\n'
    given = head.replace("bags = ", 'add = "text", makes = "text", displacement = "text", bags = ')
    take = 'take = { add = "add", makes = "makes", displacement = "displacement" }\n'
    rows = read(f'{given}{selection}{take}bags = ["1 g/100 mL"]\ndoses = ["1 mcg/kg/min"]\n').rows["medicines"]

    cefazolin = [(row["add"], row["makes"], row["displacement"]) for row in rows if row["drug"] == "cefazolin"]
    assert ("2 mL", "225 mg/mL", "0.2 mL") in cefazolin
    assert ("2.5 mL", "330 mg/mL", "0.5 mL") in cefazolin
    assert "dopamine" not in {row["drug"] for row in rows}
    assert {"ampicillin", "cefazolin", "olanzapine"} <= {row["drug"] for row in rows}


def test_a_recorded_selection_never_reads_a_newer_formulary() -> None:
    """With the drug's recorded text, rows, draws and answers are the recorded ones, whatever ships by now."""
    shipped = drug_text("dopamine")
    assert shipped is not None
    older = shipped[1].replace(
        'rate = { from = "2 mcg/kg/min", to = "20 mcg/kg/min"', 'rate = { from = "3 mcg/kg/min", to = "9 mcg/kg/min"'
    )
    assert older != shipped[1]
    digest = hashlib.sha256(older.encode()).hexdigest()
    text = f'{OWN}\n[formulary]\n"dopamine" = "{digest}"\n'
    model = read_item_model(text, "recorded", lambda one: older if one == digest else None)
    (row,) = model.rows["medicines"]
    drawn = {
        given.text for number in range(40) for given in draw_item(model, f"r{number}").givens if given.name == "dose"
    }

    assert row["doses"] == {"from": "3", "to": "9", "step": "0.5", "unit": "mcg/kg/min"}
    assert drawn <= {
        f"{n} mcg/kg/min" for n in ("3", "3.5", "4", "4.5", "5", "5.5", "6", "6.5", "7", "7.5", "8", "8.5", "9")
    }
    assert len(drawn) > 5


def test_a_drug_that_came_later_is_not_selected_in_a_recorded_set() -> None:
    """A selection without names takes, of a recorded model, only the drugs that were recorded with it."""
    open_selection = changed('only = ["dopamine"], ', "")
    today = read(open_selection)
    recorded = {name: digest for name, digest in today.formulary.items() if name in ("dopamine", "dobutamine")}
    lines = "".join(f'"{name}" = "{digest}"\n' for name, digest in recorded.items())
    then = read_item_model(f"{open_selection}\n[formulary]\n{lines}", "recorded")

    assert len(today.formulary) > len(recorded)
    assert {row["drug"] for row in then.rows["medicines"]} <= {"dopamine", "dobutamine"}


def test_the_drugs_that_a_table_selects_are_recorded_with_the_model() -> None:
    """A model that states no order records the drugs from which its tables come."""
    model = read(OWN)
    shipped = drug_text("dopamine")
    assert shipped is not None

    assert dict(model.formulary) == {"dopamine": hashlib.sha256(shipped[1].encode()).hexdigest()}


def test_a_recorded_model_never_reads_what_a_body_takes_today() -> None:
    """A day's fluid of 6,000 mL lets the pump rates pass; where 1 mL a day was recorded, no draw does."""
    order = '[[ordered]]\ndrug = "medicine.drug"\nroute = "IV"\ngroup = "adult"\nflow = "rate"\n'
    today = read(f"{OWN}\n{order}")
    shipped = shipped_body().text
    older = shipped.replace('most = "6,000 mL/day"', 'most = "1 mL/day"')
    assert older != shipped
    texts = {hashlib.sha256(text.encode()).hexdigest(): text for text in (older, shipped)}
    recorded = today.text.replace(today.body_row, hashlib.sha256(older.encode()).hexdigest())

    assert draw_item(today, "1").givens
    assert read_item_model(today.text, "recorded", texts.get).body == shipped_body()
    with pytest.raises(BadInput):
        draw_item(read_item_model(recorded, "recorded", texts.get), "1")


OF_A_DRUG = {
    "dose_by_weight", "dose_by_weight_per_time", "dose_by_area", "dose_rate", "drug_per_tab", "mixture", "frequency",
}  # fmt: skip
"""Kinds of which the formulary holds figures: doses, rates, strengths, how often."""
OF_AN_ORDER = ("dose", "day", "times", "rate", "time", "most")
"""What an order says of a drug, whatever its kind; a volume counts only where it is itself the dose."""


def still_copied() -> Counter[str]:
    """How many rows of each model's column state a fact of a drug by a source of their own.

    A scenario's own numbers are no facts of a drug: what a bag holds, which mark is read, how long a shift is.
    """
    found: Counter[str] = Counter()
    for model in bank().values():
        ordered = {p.name for order in model.orders for what in OF_AN_ORDER for p in order.amounts.get(what, ())}
        doses = {
            p.name for order in model.orders for p in order.amounts.get("dose", ()) if len(order.amounts["dose"]) == 1
        }
        facts = {
            given.draw.column
            for name, given in model.givens.items()
            if isinstance(given.draw, FromRow)
            and (given.kind in OF_A_DRUG or (name in ordered and given.kind != "volume") or name in doses)
        }
        for rows in tomllib.loads(own_text(model.text)).get("table", {}).values():
            for row in rows:
                if "drug" in row or "formulary" in row:
                    found.update(f"{model.id}: {column}" for column in row.get("sources", {}) if column in facts)
    return found


def test_facts_that_models_still_copy() -> None:
    """Facts that stand in models and not in the formulary are counted, with a reason; a count only goes down."""
    kept = tomllib.loads((Path(__file__).parent / "copied_facts.toml").read_text(encoding="utf-8"))["kept"]
    listed = {name: rows for group in kept for name, rows in group["rows"].items()}
    found = still_copied()

    assert all(len(group["why"]) > 20 for group in kept)
    assert sum(len(group["rows"]) for group in kept) == len(listed), "a column stands in two groups"
    assert {name: number for name, number in found.items() if number > listed.get(name, 0)} == {}
    assert {name: number for name, number in listed.items() if found[name] < number} == {}, "lower these counts"


def selections() -> list[tuple[ItemModel, dict[str, Any]]]:
    """Each selection of the bank with its model."""
    return [
        (model, row)
        for model in bank().values()
        for rows in tomllib.loads(own_text(model.text)).get("table", {}).values()
        for row in rows
        if "formulary" in row
    ]


def test_a_selection_is_of_the_patients_that_the_order_is_for() -> None:
    """An adult's infusion doesn't cite a newborn's figures: where the order names its group, the selection has it."""
    wrong = [
        (model.id, row["formulary"]["only"])
        for model, row in selections()
        for order in tomllib.loads(own_text(model.text)).get("ordered", [])
        if order.get("group") in ("adult", "child", "newborn")
        and row["formulary"].get("group") not in (None, order["group"])
    ]
    newborns = {model.id for model, row in selections() if row["formulary"].get("group") == "newborn"}

    assert wrong == []
    assert {name for name in newborns if "newborn" not in bank()[name].stem.lower()} == set()


@pytest.mark.parametrize(
    ("within", "says"),
    [
        ('{ doses = { from = "2", to = "25", step = "1" } }', "has no contents, rate of dopamine that fits"),
        ('{ doses = { from = "1", to = "5", step = "1" } }', "has no contents, rate of dopamine that fits"),
        ('{ bags = ["900 mg/250 mL"] }', "has no contents, rate of dopamine that fits"),
        ('{ weight = ["50 kg"] }', "within: weight is not taken from the formulary"),
        ('{ doses = { from = "2" } }', "within: doses is a range without from, to or step"),
        ("{ doses = [] }", "within: doses is a text, a list of texts, or a range"),
        ('{ bags = { from = "1", to = "2", step = "1" } }', "has no contents, rate of dopamine that fits"),
    ],
)
def test_a_column_keeps_within_what_the_formulary_has(within: str, says: str) -> None:
    """2 to 20 mcg/kg/min and the bags that are sold: a range or a strength beyond them is refused, with its line."""
    with pytest.raises(BadInput) as caught:
        read(f"{OWN}within = {within}\n")

    assert says in caught.value.message
    assert caught.value.line is not None


def test_a_narrower_range_and_fewer_strengths_are_as_they_are_written() -> None:
    """The cells are the model's own words, and their sources are those of the formulary."""
    kept = '{ doses = { from = "5", to = "15", step = "2.5", unit = "mcg/kg/min" }, bags = ["0.8 g/500 mL"] }'
    (row,) = read(f"{OWN}within = {kept}\n").rows["medicines"]

    assert row["doses"] == {"from": "5", "to": "15", "step": "2.5", "unit": "mcg/kg/min"}
    assert row["bags"] == ["0.8 g/500 mL"]
    assert row["sources"]["doses"] == "from_memory"


def test_a_push_does_not_come_from_what_is_made_to_be_infused() -> None:
    """Eptifibatide's bolus takes the 2 mg/mL vial of 10 mL, never the 0.75 mg/mL vial that is hung."""
    wanted = {"only": ["eptifibatide"], "route": "IV", "indication": "PCI, bolus", "form": "solution for injection"}
    take = {"vials": "strengths", "sizes": "sizes", "doses": "dose"}
    units = {"doses": parse_unit("mcg/kg"), "vials": parse_unit("mg/mL"), "sizes": parse_unit("mL")}
    (row,) = selected_rows([{"formulary": wanted, "take": take}], units, None).rows
    hung = {"formulary": wanted, "take": take, "within": {"vials": ["0.75 mg/mL"]}}

    assert (row["vials"], row["sizes"]) == (["2 mg/mL"], ["10 mL"])
    with pytest.raises(BadInput, match="has no strengths, sizes, dose of eptifibatide that fits"):
        selected_rows([hung], units, None)
