"""What of a problem is set by hand: a view of its device, and the text of each answer that it gives."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from calclib.errors.messages import BadInput
from calclib.items import Drawing, Item
from calclib.models.devices import Device, device
from calclib.quantity.writing import write_number
from calclib.widgets.devices.chamber import DripChamber
from calclib.widgets.devices.drawer import Drawer
from calclib.widgets.devices.scaled import ScaledDevice

How = Literal["value", "mark", "rest", "choice", "rate"]
"""What of a device is the answer to a part, see hands.toml."""


LEAST_PLAY, PLAYS = 5, 30


@dataclass(frozen=True)
class HandsOn:
    """The view of a problem's device.

    Args:
        widget: What is shown.
        texts: For each part that is set by hand, what gives its answer.
    """

    widget: Any
    texts: Mapping[str, Callable[[], str]]

    def answers(self) -> dict[str, str]:
        """Return the answers as they would be typed, by part; "" where nothing was set yet."""
        return {part: text() for part, text in self.texts.items()}


def hands_on(item: Item) -> HandsOn | None:
    """Return the view of a drawn problem's device; None if nothing of it is set by hand.

    Args:
        item: The problem. Its record of the device is enough; no drawing is done again.
    """
    parts = _parts().get(item.model_id)
    if parts is None:
        return None
    if "choice" in parts.values():
        drawer = _drawer(item, next(part for part, how in parts.items() if how == "choice"))
        return HandsOn(drawer, dict.fromkeys(parts, drawer.answer))
    if "rate" in parts.values():
        drops = _drops(item)
        chamber = DripChamber(drops, play=0 if drops is not None else _play(item.seed))
        return HandsOn(chamber, dict.fromkeys(parts, chamber.answer))
    view = scaled_view(item.drawings[0])
    return HandsOn(view, {part: _text(view, how) for part, how in parts.items()})


def scaled_view(drawing: Drawing) -> ScaledDevice:
    """Return a drawn syringe, cup or bag to work with: its level is set if it is empty, read if it holds something.

    Args:
        drawing: The record of the drawn device.
    """
    return ScaledDevice(drawing.device, level=drawing.level, seen=drawing.alt)


def models_by_hand() -> tuple[str, ...]:
    """Return the ids of the item models of which something is set by hand."""
    return tuple(_parts())


def _text(view: ScaledDevice, how: How) -> Callable[[], str]:
    of: Device = view.of
    texts: dict[str, Callable[[], str]] = {
        "value": view.answer,
        "mark": lambda: "" if view.value is None else write_number(view.mark),
        "rest": lambda: "" if view.value is None else of.written(of.end - view.value),
    }
    return texts[how]


def _drawer(item: Item, part: str) -> Drawer:
    """The syringes that a part offers: a choice is called by the words of its device."""
    known = {of.says: of for of in map(device, _syringes())}
    choices = item.part(part).choices
    unknown = [choice for choice in choices if choice not in known]
    if unknown:
        raise BadInput(f"{item.model_id} offers {', '.join(unknown)}, which isn't drawn; there are {', '.join(known)}")
    return Drawer([(choice, known[choice]) for choice in sorted(choices, key=lambda one: known[one].end)])


def _syringes() -> tuple[str, ...]:
    return ("syringe_1_mL", "syringe_3_mL", "syringe_5_mL", "syringe_10_mL")


def _play(seed: str) -> int:
    """How many notches a clamp has before its first drop: another number for each problem."""
    return LEAST_PLAY + sum(seed.encode()) % PLAYS


def _drops(item: Item) -> int | None:
    level = next((one.level for one in item.drawings if one.device.drawn == "chamber"), None)
    return None if level is None else int(level)


@cache
def _parts() -> Mapping[str, Mapping[str, How]]:
    return tomllib.loads(files("calclib.widgets.devices").joinpath("hands.toml").read_text("utf-8"))
