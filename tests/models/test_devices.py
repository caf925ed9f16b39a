"""Drawn devices: graduations as published, words that give nothing away, and each misreading with its number."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from calclib.errors.messages import BadInput
from calclib.items import draw_item, item_from_record, solution_of
from calclib.items.drawn import Drawing, drop_times
from calclib.models import read_item_model
from calclib.models.bank import bank
from calclib.models.devices import device, devices, misreadings
from calclib.models.model import ItemModel
from calclib.quantity.policies import rounding_policies
from calclib.quantity.rounding import RoundingPolicy
from calclib.sources import source
from tests.models.own_model import OWN_MODEL

# RMIT University, syringe guide, as summarized: what one mark of a syringe is worth [mL].
PUBLISHED_MARKS = {"syringe_1_mL": "0.01", "syringe_3_mL": "0.1", "syringe_5_mL": "0.2", "syringe_10_mL": "0.2"}
DRAWN = [model for model in bank().values() if any(given.drawn_on for given in model.givens.values())]


@pytest.mark.parametrize(("name", "mark"), PUBLISHED_MARKS.items())
def test_a_syringe_has_the_published_marks(name: str, mark: str) -> None:
    """The worth of a mark is the published one, and its source says so."""
    assert device(name).mark == Fraction(mark)
    assert "RMIT" in source(device(name).source).cite()


def test_scales_are_even() -> None:
    """Between printed numbers lie whole spaces, and the scale ends at a printed number."""
    for of in devices().values():
        assert (of.labelled / of.mark).denominator == 1
        assert (of.end / of.labelled).denominator == 1


@pytest.mark.parametrize("model", DRAWN, ids=lambda model: model.id)
def test_no_text_before_the_answer_states_what_is_drawn(model: ItemModel) -> None:
    """Neither stem nor questions nor the words for the drawing nor the first hint hold the value that is read."""
    for number in range(20):
        item = draw_item(model, f"hidden {number}")
        for drawing in item.drawings:
            if drawing.level is None or drawing.device.drawn == "chamber":
                continue
            value = next(given.text for given in item.givens if given.name == drawing.given)
            hint = solution_of(item, model).hint(item.parts[0].name, 1)
            shown = " ".join((item.in_words, *(part.asked for part in item.parts), *hint))
            assert f" {value} " not in f" {shown} ".replace(".", " .").replace(" .", ".").replace(". ", " ")


@pytest.mark.parametrize("policy", rounding_policies().values(), ids=lambda policy: policy.name)
def test_a_mark_is_read_and_not_rounded(policy: RoundingPolicy) -> None:
    """Under every rounding policy a reading is the mark itself."""
    item = draw_item(bank()["read-small-syringe"], "mark", policy=policy, given={"level": "0.37 mL"})
    assert item.part("reading").key == Fraction(37, 100)


def test_misreadings_of_a_syringe() -> None:
    """1.7 mL in a 3 mL syringe: two marks past 1.5, three before 2, the ring five marks wide; read by hand."""
    found: dict[str, list[str]] = {"mark misjudged": [], "counted the wrong way": [], "wrong edge": []}
    for value, kind, _ in misreadings(device("syringe_3_mL"), "level", Fraction("1.7")):
        found[kind].append(str(float(value)))
    assert found == {
        "mark misjudged": ["1.9", "1.52"],
        "counted the wrong way": ["2.3", "1.3"],
        "wrong edge": ["2.2"],
    }


@pytest.mark.parametrize("model", DRAWN, ids=lambda model: model.id)
def test_misreadings_can_be_told_apart(model: ItemModel) -> None:
    """Wherever a level is drawn, each misreading leads to another value."""
    for number in range(40):
        for drawing in draw_item(model, f"apart {number}").drawings:
            if drawing.level is not None:
                found = [value for value, _, _ in misreadings(drawing.device, "level", drawing.level)]
                assert len(set(found)) == len(found)


def test_a_bag_read_from_the_wrong_end() -> None:
    """What has run in is taken for what is left: 1,000 mL less 350 mL."""
    found = {kind: value for value, kind, _ in misreadings(device("bag_1000_mL"), "level", Fraction(350))}
    assert found["wrong end"] == 650


@pytest.mark.parametrize("model", DRAWN, ids=lambda model: model.id)
def test_misreadings_are_named_with_their_answer(model: ItemModel) -> None:
    """Among the mistakes of an item that lead to answers of their own are those of its device."""
    kinds = {"mark misjudged", "counted the wrong way", "wrong edge", "wrong end", "miscounted"}
    items = [draw_item(model, f"misread {number}") for number in range(8)]
    found = {fault.fault for item in items for part in item.parts for fault in part.faults}
    assert found & kinds


def test_words_say_where_a_level_stands() -> None:
    """Printed numbers, spaces between them and the marks past the last number are told; the level is not."""
    alt = Drawing("level", device("syringe_3_mL"), Fraction("1.7")).alt
    assert "0.5, 1, 1.5, 2, 2.5 and 3 mL" in alt
    assert "5 equal spaces" in alt
    assert "nearest the needle is 2 small marks past the 1.5 mark" in alt
    assert "nearest the handle 2 small marks past the 2 mark." in alt
    assert "1.7" not in alt


def test_drops_are_told_one_by_one() -> None:
    """Who hears the strip counts the same drops as who sees it."""
    for count in range(4, 25):
        alt = Drawing("count", device("drip_chamber"), Fraction(count)).alt
        assert alt.count("drop,") + alt.count("drop.") == count
        assert len(drop_times(count)) == count


@pytest.mark.parametrize("model", DRAWN, ids=lambda model: model.id)
def test_a_record_holds_what_is_drawn(model: ItemModel) -> None:
    """A drawing comes back from the record with its device as it was, whatever later versions make of the device."""
    item = draw_item(model, "record")
    record = json.loads(json.dumps(item.to_record()))
    assert item_from_record(record).drawings == item.drawings != ()
    record["drawings"][0]["mark"] = "1/7"
    assert item_from_record(record).drawings[0].device.mark == Fraction(1, 7)


OWN_SYRINGE = (
    OWN_MODEL
    + """
[given.level]
kind = "volume"
unit = "mL"
draw = { from = "0.3", to = "2.7", step = "0.1" }
drawn_on = "syringe_3_mL"
"""
)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("syringe_3_mL", "syringe_4_mL", "there is no device “syringe_4_mL”"),
        ('to = "2.7", step = "0.1"', 'to = "2.7", step = "0.05"', "has a mark each 0.1 mL"),
        ('to = "2.7", step = "0.1"', 'to = "4", step = "0.1"', "up to 3 mL"),
        (
            'drawn_on = "syringe_3_mL"',
            'drawn_on = "syringe_3_mL"\nreads = "color"',
            "reads must be one of level, mark",
        ),
        ('drawn_on = "syringe_3_mL"', 'drawn_on = "insulin_syringe_100_units"', "in units alone"),
        ('drawn_on = "syringe_3_mL"', 'drawn_on = "syringe_3_mL"\nrole = "hidden"', "is stated"),
    ],
)
def test_mistakes_of_a_faculty_file_are_named(old: str, new: str, says: str) -> None:
    """A device that doesn't exist or can't show a value is one sentence with the line."""
    text = OWN_SYRINGE.replace(old, new)
    assert text != OWN_SYRINGE
    with pytest.raises(BadInput, match=says) as caught:
        read_item_model(text, "mine.toml")
    assert caught.value.line is not None
