"""Each kind of problem of the bank says where in training it belongs, and says so truly."""

from __future__ import annotations

import re

import pytest

from calclib.errors.messages import BadInput
from calclib.models import bank
from calclib.models.bank import known_model
from calclib.models.model import Level
from calclib.models.reader import read_item_model

TITRATED = re.compile(r"mcg/kg/min|mcg/min")


def test_every_model_has_a_level() -> None:
    """Faculty of a first course find what suits it, and so do those of critical care."""
    assert [model.id for model in bank().values() if model.level is None] == []
    assert {model.level for model in bank().values()} == set(Level)


def test_an_order_for_a_child_is_pediatric() -> None:
    """Nobody meets a newborn's dose among the problems of a medical ward; spoons are for a first course."""
    other = {
        model.id
        for model in bank().values()
        if model.level is not Level.PEDIATRIC
        and model.topic != "measures"
        and any(order.words.get("group") in ("child", "newborn") for order in model.orders)
    }
    assert other == set()


def test_a_titrated_infusion_is_critical_care() -> None:
    """A rate in mcg/kg/min or mcg/min is set where a monitor stands."""
    other = {
        model.id
        for model in bank().values()
        if model.level in (Level.FOUNDATION, Level.WARD)
        and any(given.unit is not None and TITRATED.search(str(given.unit)) for given in model.givens.values())
    }
    assert other == set()


def test_another_level_is_refused() -> None:
    """One sentence says which there are."""
    model = known_model("drop-rate")
    assert model is not None
    with pytest.raises(BadInput, match=r"level is .*foundation.*ward.*pediatric.*critical care, not “expert”"):
        read_item_model(model.text.replace('level = "foundation"', 'level = "expert"'), "mine.toml")
