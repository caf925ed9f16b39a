"""Several syringes side by side, all drawn at one scale, of which one is taken."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import traitlets

from calclib.models.devices import Device
from calclib.widgets.devices.scale import facts


class Drawer(traitlets.HasTraits):
    """Syringes to choose from.

    Args:
        choices: The labels of the choices with their devices.
    """

    script = "drawer"
    syringes: traitlets.List[Any] = traitlets.List().tag(sync=True)
    chosen = traitlets.Int(-1).tag(sync=True)

    def __init__(self, choices: Sequence[tuple[str, Device]]) -> None:
        self.labels = tuple(label for label, _ in choices)
        super().__init__(syringes=[_shown(label, of) for label, of in choices])

    def answer(self) -> str:
        """Return the label of the syringe that was taken; "" before that."""
        return self.labels[self.chosen] if 0 <= self.chosen < len(self.labels) else ""


def _shown(label: str, of: Device) -> dict[str, Any]:
    marks = f"holds {of.written(of.end)}; one small mark is 1 of {of.spaces} spaces for {of.written(of.labelled)}"
    return {**facts(of, ring=False, told=False), "words": [], "label": label, "says": marks}
