"""Which numbers are fair: decided by hand on both sides of the margin, and held by draws."""

from __future__ import annotations

import pytest

from calclib.items import draw_item
from calclib.items.stream import ChoiceStream
from calclib.models import bank
from calclib.models.reader import read_item_model
from tests.models.own_model import OWN_MODEL


@pytest.mark.parametrize(
    ("volume", "fair"),
    [
        ("970 mL", True),  # 30.3125 gtt/min
        ("974.4 mL", True),  # 30.45, a twentieth of a drop below the half
        ("974.5 mL", False),  # 30.453125
        ("975 mL", False),  # 30.46875
        ("976 mL", False),  # 30.5
        ("977.5 mL", False),  # 30.546875
        ("978 mL", True),  # 30.5625
    ],
)
def test_a_value_nearer_than_a_twentieth_of_a_step_to_its_boundary_is_not_fair(volume: str, fair: bool) -> None:
    """Over 8 h with 15 gtt/mL, a volume of V mL runs at V/32 gtt/min, which is rounded to a whole drop."""
    given = {"volume": volume, "time": "8 h", "drop_factor": "15 gtt/mL"}
    item = draw_item(bank()["drop-rate"], "margin", given=given)

    assert item.fair is fair
    assert bool(item.why) is not fair


@pytest.mark.parametrize(("weight", "fair"), [("46 lb", False), ("48 lb", True)])
def test_the_margin_holds_on_every_legitimate_path(weight: str, fair: bool) -> None:
    """1.5 mg/kg for 46 lb is 31.36 mg, and exactly 31.35 where the weight is rounded to 20.9 kg first."""
    given = {"weight": weight, "dose": "1.5 mg/kg", "strength": "10 mg/mL"}
    assert draw_item(bank()["weight-dose-volume"], "margin", given=given).fair is fair


def test_a_teachers_numbers_outside_of_what_a_model_draws_are_taken_and_said() -> None:
    """100 mg of 25 mg/mL are 4 mL, where the model itself draws no more than 3 mL."""
    own = read_item_model(OWN_MODEL, "own.toml")
    item = draw_item(own, "margin", given={"order": "100 mg", "strength": "25 mg/mL"})

    assert item.parts[0].answer == "4 mL"
    assert item.why


def test_a_seed_draws_the_same_numbers_for_ever() -> None:
    """Seed, model and version alone decide: another version, or another model of the same text, draws other numbers."""
    own = read_item_model(OWN_MODEL, "own.toml")
    other = read_item_model(OWN_MODEL.replace("own-syringe-volume", "other-syringe-volume"), "other.toml")
    later = read_item_model(OWN_MODEL.replace("version = 1", "version = 2"), "own.toml")
    drawn = [{given.name: given.text for given in draw_item(model, "for ever").givens} for model in (own, other, later)]

    assert drawn[0] == {"drug": "haloperidol", "order": "22 mg", "strength": "30 mg/mL"}
    assert drawn[1] not in (drawn[0], drawn[2]) and drawn[0] != drawn[2]


def test_a_stream_of_choices_is_the_same_for_ever() -> None:
    """Bits of SHA-256 over the key and the number of the block, lowest first; worked out by another program."""
    stream = ChoiceStream("for ever")
    numbers = [stream.below(1000) for _ in range(60)]

    assert numbers[:8] == [837, 858, 659, 645, 329, 508, 17, 971]
    assert numbers[-8:] == [249, 953, 32, 495, 502, 332, 485, 276]
