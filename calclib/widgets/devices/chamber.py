"""A drip chamber that drips at the true rate: counted against a clock, or set with a roller clamp."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import traitlets

from calclib.items.drawn import SECONDS
from calclib.quantity.writing import write_quantity

MOST_DROPS = 200
"""The fastest that the clamp or the count can be set to [gtt/min]; faster drops can't be counted by eye."""
WATCHES = (SECONDS, 30, 60)


class DripChamber(traitlets.HasTraits):
    """A drip chamber and, with it, one whole number that is set: drops per minute.

    Args:
        drops: How many drops fall in 15 s; None where the clamp is set, and the chamber drips as it stands.
        play: How many notches of the clamp are turned before the first drop falls, so that where the wheel stands
            doesn't tell the rate: it has to be counted.
    """

    script = "chamber"
    mark = traitlets.Int(0).tag(sync=True)
    touched = traitlets.Bool(False).tag(sync=True)
    drops = traitlets.Int(None, allow_none=True).tag(sync=True)
    seconds = traitlets.Int(SECONDS).tag(sync=True)
    watches = traitlets.List(list(WATCHES)).tag(sync=True)
    most = traitlets.Int(MOST_DROPS).tag(sync=True)
    play = traitlets.Int(0).tag(sync=True)

    def __init__(self, drops: int | None = None, *, play: int = 0) -> None:
        super().__init__(drops=drops, play=play, most=MOST_DROPS + play)

    @traitlets.validate("mark")
    def _can_be_counted(self, proposal: Any) -> int:
        return max(0, min(self.most, int(proposal["value"])))

    @property
    def value(self) -> Fraction | None:
        """What is set [gtt/min]; None as long as nobody touched it."""
        return Fraction(max(self.mark - self.play, 0)) if self.touched else None

    def answer(self) -> str:
        """Return what is set as a typed answer, such as "31 gtt/min"; "" as long as nobody touched it."""
        return "" if self.value is None else write_quantity(self.value, "gtt/min")
