"""Items that several tests look at: some of every item model of the bank, drawn once in a run."""

from __future__ import annotations

import os
from functools import cache

import pytest

from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.models import ItemModel, bank
from calclib.quantity import rounding_policies, rounding_policy

MODELS = tuple(bank())
# For laws that take a second or more a model: every fifth model in each run, all of them in the full tier.
A_FIFTH = [pytest.param(name, marks=() if place % 5 == 0 else pytest.mark.full) for place, name in enumerate(MODELS)]
FULL = os.environ.get("CALCLIB_FULL") == "1"
# A draw takes longer than most of what is held of it; the full tier looks at four.
SEEDS = ("first", "second", "third", "fourth") if FULL else ("first",)


@cache
def drawn_items(name: str) -> tuple[Item, ...]:
    """Return some items of a model."""
    return tuple(draw_item(model(name), seed) for seed in SEEDS)


@cache
def item_under(name: str, policy: str) -> Item | None:
    """Return an item of a model under a rounding policy; None where its numbers are fair in no draw."""
    if policy == rounding_policy().name:
        return drawn_items(name)[0]
    try:
        return draw_item(model(name), "under a policy", policy=rounding_policies()[policy])
    except BadInput:
        return None


def model(name: str) -> ItemModel:
    """Return a model of the bank."""
    return bank()[name]


def texts(item: Item) -> dict[str, str]:
    """Return what the stem states, in the form in which a teacher would fix it."""
    return {given.name: given.text for given in item.givens}
