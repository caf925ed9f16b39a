"""A syringe, cup or bag: its plunger or level is set, or a line is laid where it is read."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import anywidget
import traitlets

from calclib.models.devices import Device
from calclib.widgets.devices.scale import Scale, facts
from calclib.widgets.devices.scripts import script
from calclib.widgets.styles import styles

SET_WORDS = {"syringe": "Plunger", "cup": "Surface of the liquid", "bag": "Surface of the fluid"}
READ_WORDS = "Reading line"

Tick = tuple[Fraction, str]
"""A line of a time strip: where it stands [unit of the device] and its words."""


class ScaledState(traitlets.HasTraits):
    """What is shown and set of a device with printed marks.

    What passes between page and judge is the number of a mark, never a place in pixels.

    Args:
        of: The device.
        level: Where its level stands [unit of the device]; None where the person sets the level.
        told: Whether the value of a mark is told; not where reading it is the question.
        seen: What is seen of the device, in words, for who can't see it.
        strip: Lines of a time strip beside the scale.
    """

    script = "scaled"
    device = traitlets.Dict().tag(sync=True)
    mark = traitlets.Int(0).tag(sync=True)
    touched = traitlets.Bool(False).tag(sync=True)
    level = traitlets.Int(None, allow_none=True).tag(sync=True)
    control = traitlets.Unicode().tag(sync=True)
    seen = traitlets.Unicode().tag(sync=True)
    strip: traitlets.List[Any] = traitlets.List().tag(sync=True)

    def __init__(
        self,
        of: Device,
        *,
        level: Fraction | None = None,
        told: bool = False,
        seen: str = "",
        strip: Sequence[Tick] = (),
    ) -> None:
        self.of, self.scale = of, Scale(of)
        is_set = level is None
        super().__init__(
            device=facts(of, ring=is_set and of.drawn == "syringe", told=told),
            level=None if level is None else self.scale.mark_of(level),
            seen=seen,
            control=SET_WORDS[of.drawn] if is_set else READ_WORDS,
            # For the place of a line alone; nobody is marked by it.
            strip=[[float(at / of.mark), words] for at, words in strip],
        )

    @traitlets.validate("mark")
    def _on_the_scale(self, proposal: Any) -> int:
        mark = int(proposal["value"])
        return max(0, min(self.scale.marks, mark))

    @property
    def value(self) -> Fraction | None:
        """What is set [unit of the device], exactly; None as long as nobody touched it."""
        return self.scale.value(self.mark) if self.touched else None

    def answer(self) -> str:
        """Return what is set as a typed answer, such as "4.2 mL"; "" as long as nobody touched it."""
        return "" if self.value is None else self.of.written(self.value)


class ScaledDevice(ScaledState, anywidget.AnyWidget):
    """The device on a page of its own. Arguments as for `ScaledState`."""

    _esm = script("scaled")
    _css = styles("devices/front_end/devices.css")
