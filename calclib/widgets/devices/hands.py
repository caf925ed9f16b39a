"""What of a problem is set by hand: a view of its device, and the text of each answer that it gives."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import traitlets

from calclib.errors.messages import BadInput
from calclib.items import Drawing, Item
from calclib.models.devices import Device, device
from calclib.quantity.writing import write_number
from calclib.widgets.devices.chamber import DripChamber
from calclib.widgets.devices.drawer import Drawer
from calclib.widgets.devices.form import FIELDS, FormState
from calclib.widgets.devices.scaled import ScaledState
from calclib.wording.facts import fact

How = Literal["value", "mark", "rest", "choice", "rate", "entered rate", "entered volume", "entered minutes"]
"""What of a device is the answer to a part, see hands.toml."""

LEAST_PLAY, PLAYS = 5, 30
SET_BY_THE_PAGE = ("mark", "touched", "chosen", "typed")
FOLLOWING = ("said", "disagrees", "curve")
ENTERED = "entered "


@dataclass(frozen=True)
class HandsOn:
    """A problem's device.

    Args:
        device: What is shown and set.
        texts: For each part that is set by hand, what gives its answer.
        fields: For each part that a field of a form answers, that field.
        drawn: Whether the problem draws the device; else it may be set by hand, and can as well be left alone.
    """

    device: ScaledState | DripChamber | Drawer | FormState
    texts: Mapping[str, Callable[[], str]]
    fields: Mapping[str, str] = field(default_factory=dict)
    drawn: bool = True

    def shown(self) -> dict[str, Any]:
        """Return what the page shows: the script, the state that it starts from, the parts that are set by hand."""
        names = self.device.trait_names(sync=True)
        return {
            "script": self.device.script,
            "state": {name: getattr(self.device, name) for name in names},
            "parts": list(self.texts),
            "fields": dict(self.fields),
            "drawn": self.drawn,
        }

    def set(self, state: Mapping[str, Any]) -> dict[str, Any]:
        """Set what a page sent; return what follows from it, for the page.

        Raises:
            BadInput: It can't be set so.
        """
        try:
            for name in SET_BY_THE_PAGE:
                if name in state and self.device.has_trait(name):
                    setattr(self.device, name, state[name])
        except (TypeError, ValueError, traitlets.TraitError):
            raise BadInput(fact("errors_widgets.device_not_set")) from None
        return {name: getattr(self.device, name) for name in FOLLOWING if self.device.has_trait(name)}

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
        return HandsOn(drawer, dict.fromkeys(parts, drawer.answer), drawn=False)
    if "rate" in parts.values():
        drops = _drops(item)
        chamber = DripChamber(drops, play=0 if drops is not None else _play(item.seed))
        return HandsOn(chamber, dict.fromkeys(parts, chamber.answer), drawn=drops is not None)
    if all(how.startswith(ENTERED) for how in parts.values()):
        return _form(parts)
    view = scaled_view(item.drawings[0])
    return HandsOn(view, {part: _text(view, how) for part, how in parts.items()})


def scaled_view(drawing: Drawing) -> ScaledState:
    """Return a drawn syringe, cup or bag to work with: its level is set if it is empty, read if it holds something.

    Args:
        drawing: The record of the drawn device.
    """
    return ScaledState(drawing.device, level=drawing.level, seen=drawing.alt)


def models_by_hand() -> tuple[str, ...]:
    """Return the ids of the item models of which something is set by hand."""
    return tuple(_parts())


def _text(view: ScaledState, how: How) -> Callable[[], str]:
    of: Device = view.of
    texts: dict[str, Callable[[], str]] = {
        "value": view.answer,
        "mark": lambda: "" if view.value is None else write_number(view.mark),
        "rest": lambda: "" if view.value is None else of.written(of.end - view.value),
    }
    return texts[how]


def _form(parts: Mapping[str, How]) -> HandsOn:
    """A form whose fields are the answers; it says whether they agree, and works nothing out."""
    form = FormState(None)
    fields = {part: how.removeprefix(ENTERED) for part, how in parts.items()}
    assert set(fields.values()) == set(FIELDS), "a form has all three"

    def text(name: str) -> Callable[[], str]:
        return lambda: str(form.typed.get(name, ""))

    return HandsOn(form, {part: text(name) for part, name in fields.items()}, fields, drawn=False)


def _drawer(item: Item, part: str) -> Drawer:
    """The syringes that a part offers: a choice is called by the words of its device."""
    known = {of.says: of for of in map(device, _syringes())}
    choices = item.part(part).choices
    unknown = [choice for choice in choices if choice not in known]
    if unknown:
        raise BadInput(
            fact("errors_widgets.not_drawn", model=item.model_id, choices=tuple(unknown), known=tuple(known))
        )
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
