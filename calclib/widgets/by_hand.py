"""Problems of one kind that are answered by hand, for lessons: practice boxes whose device is set."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.widgets.devices.hands import models_by_hand
from calclib.widgets.engine import Engine
from calclib.widgets.practice import PracticeBox, practice_box
from calclib.wording.facts import fact


def draw_up(item_id: str = "draw-up-mark", seed: str | None = None) -> PracticeBox:
    """A dose to draw up into a syringe.

    Args:
        item_id: The item model.
        seed: Any text; the same text gives the same problems. None for new ones each time.

    Raises:
        BadInput: Nothing of that model is set by hand.
    """
    return by_hand(item_id, seed)


def choose_syringe(item_id: str = "choose-syringe", seed: str | None = None) -> PracticeBox:
    """A syringe to choose among several drawn at one scale. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def read_level(item_id: str = "read-syringe", seed: str | None = None) -> PracticeBox:
    """A syringe, cup or bag on which a line is laid where it is read. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def count_drops(item_id: str = "drip-chamber-count", seed: str | None = None) -> PracticeBox:
    """A drip chamber whose drops are counted against a clock. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def set_clamp(item_id: str = "drop-rate", seed: str | None = None) -> PracticeBox:
    """A roller clamp that is set until the chamber drips as ordered. Arguments as for `draw_up`."""
    return by_hand(item_id, seed)


def by_hand(item_id: str, seed: str | None = None, *, engine: Engine | None = None) -> PracticeBox:
    """Problems of one kind, answered by hand as far as its device goes.

    Args:
        item_id: The item model.
        seed: Any text; the same text gives the same problems. None for new ones each time.
        engine: What draws and judges; the library's own if None.

    Raises:
        BadInput: Nothing of that model is set by hand.
    """
    if item_id not in models_by_hand():
        raise BadInput(fact("errors_widgets.nothing_by_hand", model=item_id, known=tuple(models_by_hand())))
    return practice_box(item_id, seed, engine=engine)
