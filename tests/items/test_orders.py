"""An item's order is held against the formulary: what is drawn keeps within it, what a teacher fixes is said."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.formulary import FindingKind
from calclib.formulary.catalogue import drug_text
from calclib.items import Item, draw_item, item_from_record
from calclib.models import bank, read_item_model
from calclib.quantity.amounts import parse_amount
from tests.models.own_model import changed

ORDERED = """
[[ordered]]
drug = "drug"
route = "IM"
dose = "order"
volume = "volume"

"""
WITH_ORDER = changed("[[where]]", f"{ORDERED}[[where]]")


def milligrams(item: Item) -> Fraction:
    """The ordered amount."""
    return parse_amount(next(given.text for given in item.givens if given.name == "order"))[0]


def test_no_draw_goes_beyond_a_figure() -> None:
    """Promethazine keeps to the 50 mg of its label, and haloperidol's 5 mg from memory narrow it out of 12.5 to 60."""
    items = [draw_item(read_item_model(WITH_ORDER, "mine.toml"), f"sound {number}") for number in range(20)]

    assert {item.givens[0].text for item in items} == {"promethazine"}
    assert max(milligrams(item) for item in items) <= 50
    assert all(item.unusual == () for item in items)


def test_without_the_table_nothing_is_held_against_it() -> None:
    """A model in the old format draws as it did."""
    items = [draw_item(read_item_model(changed("x", "x", 0), "mine.toml"), f"sound {n}") for n in range(20)]

    assert {item.givens[0].text for item in items} == {"promethazine", "haloperidol"}


def test_a_fixed_number_beyond_a_source_is_drawn_and_said() -> None:
    """55 mg of promethazine are drawn, with the kind, the limit, the source and a sentence for faculty."""
    item = draw_item(
        read_item_model(WITH_ORDER, "mine.toml"), "fixed", given={"drug": "promethazine", "order": "55 mg"}
    )
    (found,) = item.unusual

    assert "55 mg" in item.stem
    assert (found.drug, found.finding.kind, found.finding.factor) == (
        "promethazine",
        FindingKind.SINGLE_DOSE,
        Fraction(11, 10),
    )
    assert found.says.startswith("promethazine 55 mg is 1.1 times the most that the formulary has for one dose, 50 mg")
    assert item_from_record(json.loads(json.dumps(item.to_record()))) == item


def test_by_memory_alone_nothing_is_unusual() -> None:
    """12.5 mg of haloperidol are more than the 5 mg that somebody remembers, and that decides nothing."""
    item = draw_item(
        read_item_model(WITH_ORDER, "mine.toml"), "fixed", given={"drug": "haloperidol", "order": "12.5 mg"}
    )

    assert "haloperidol 12.5 mg" in item.stem
    assert item.unusual == ()


def test_ten_times_a_dose_by_weight_is_said_in_its_own_unit() -> None:
    """1 mg/kg of morphine IV for a child is ten times the most, and is told as it was ordered."""
    fixed = {"drug": "morphine", "route": "IV", "dose": "1 mg/kg", "weight": "15 kg", "strength": "10 mg/mL"}
    item = draw_item(bank()["weight-dose-volume"], "ten", given=fixed)
    (found,) = item.unusual

    assert found.says.startswith(
        "morphine 1 mg/kg (15 mg) is 10 times the most that the formulary has for one dose, 1.5 mg"
    )


def test_an_order_that_is_rightly_held_is_no_order() -> None:
    """Of a problem of deciding, draws beyond the limits stay, since the right answer is not to give them."""
    items = [draw_item(bank()["safe-single-dose"], f"hold {number}") for number in range(30)]
    held = [item for item in items if item.parts[-1].accepted_choice.startswith("Hold it")]

    assert 5 <= len(held) <= 25


def test_a_recorded_model_reads_its_own_rows() -> None:
    """A row that was recorded with a set is read again, whatever the formulary says by now."""
    model = read_item_model(WITH_ORDER, "mine.toml")
    found = drug_text("promethazine")
    assert found is not None
    usual = found[1].replace('from = "25 mg", to = "50 mg"', 'from = "12.5 mg", to = "20 mg"')
    stricter = usual.replace('is = ["50 mg"]', 'is = ["20 mg"]')
    recorded = read_item_model(
        model.text, "recorded", lambda digest: stricter if digest == model.formulary["promethazine"] else None
    )
    items = [draw_item(recorded, f"frozen {number}") for number in range(10)]

    assert recorded.hash == model.hash
    assert max(milligrams(item) for item in items) <= 25, "25 mg is what another use has"


def test_a_lost_row_is_named() -> None:
    """A recorded model whose row is neither recorded nor shipped is refused with the drug's name."""
    model = read_item_model(WITH_ORDER, "mine.toml")
    text = model.text.replace(model.formulary["promethazine"], "0" * 64)

    with pytest.raises(BadInput, match="row of promethazine"):
        read_item_model(text, "recorded")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('dose = "order"', 'dose = "ordr"', "“ordr” is neither a given nor a step; did you mean “order”"),
        ('route = "IM"', 'group = "chld"', "group is adult or child or newborn, not “chld”"),
        ('route = "IM"', 'rout = "IM"', "did you mean “route”"),
        ('route = "IM"', 'unless = { verdict = ["Hold"] }', "“verdict”, which is not a step"),
        ('dose = "order"', 'dose = "order + 1"', "must be a product"),
    ],
)
def test_a_mistake_in_an_order_is_named(old: str, new: str, says: str) -> None:
    """A slip in [[ordered]] is one sentence with the line."""
    assert old in WITH_ORDER
    with pytest.raises(BadInput) as caught:
        read_item_model(WITH_ORDER.replace(old, new), "mine.toml")

    assert says in str(caught.value)
    assert caught.value.line is not None
