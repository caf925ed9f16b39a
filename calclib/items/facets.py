"""By what faculty narrow the catalogue: what is asked, how long the way is, what is drawn or set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calclib.models.devices import device
from calclib.models.model import SETUP, ItemModel, PartModel
from calclib.quantity.units import Dimension

LONGEST = 4
"""So many steps and more are counted as one."""

_CHOSEN = ("choose", "compare", "band")
_ASKED: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("a dose by weight", ("body weight-1",)),
    ("a drop rate", ("drops",)),
    ("a rate of volume", ("volume", "time-1")),
    ("a dose rate", ("drug mass", "time-1")),
    ("a dose rate", ("drug activity", "time-1")),
    ("a dose rate", ("drug charge", "time-1")),
    ("a strength", ("drug mass", "volume-1")),
    ("a strength", ("percent",)),
    ("an amount of drug", ("drug mass",)),
    ("an amount of drug", ("drug activity",)),
    ("an amount of drug", ("drug charge",)),
    ("an amount of drug", ("drug substance",)),
    ("a number of tablets, vials or doses", ("tablets",)),
    ("a number of tablets, vials or doses", ("capsules",)),
    ("a number of tablets, vials or doses", ("vials",)),
    ("a number of tablets, vials or doses", ("doses",)),
    ("a time", ("time",)),
    ("a weight or surface", ("body weight",)),
    ("a weight or surface", ("length2",)),
    ("a volume", ("volume",)),
)
_DRAWN = {
    "syringe": "Syringe",
    "cup": "Medicine cup",
    "bag": "Hanging bag",
    "chamber": "Drip chamber",
    "pump": "Pump entries",
}


@dataclass(frozen=True)
class Facets:
    """What a model is chosen by beside its topic.

    Args:
        asks: What its parts ask, each once.
        steps: How many steps its solution has, LONGEST for more.
        devices: What is drawn or set.
    """

    asks: tuple[str, ...]
    steps: int
    devices: tuple[str, ...]


def facets(model: ItemModel) -> Facets:
    """Return what a model is chosen by."""
    asks = dict.fromkeys(_asks(model, part) for part in model.parts)
    return Facets(tuple(asks), min(len(model.steps), LONGEST), tuple(dict.fromkeys(_devices(model))))


def _asks(model: ItemModel, part: PartModel) -> str:
    if part.kind == SETUP:
        return "a set-up"
    kind = next(step.kind for step in model.steps if step.name == part.asks)
    if kind in _CHOSEN and not part.unit.powers:
        return "a decision or choice"
    if kind == "clock":
        return "a time"
    measured = _measured(part.unit.dimension)
    return next((says for says, needs in _ASKED if measured.issuperset(needs)), "another number")


def _measured(dimension: Dimension) -> set[str]:
    return {f"{name}{'' if power == 1 else power}" for name, power in dimension}


def _devices(model: ItemModel) -> Iterator[str]:
    for given in model.givens.values():
        if given.drawn_on:
            yield _DRAWN[device(given.drawn_on).drawn]
    for part in model.parts:
        if part.set_on:
            yield _DRAWN[part.set_on]
