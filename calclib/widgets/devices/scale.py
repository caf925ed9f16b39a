"""A device as its front end draws it: marks by number, the words of each mark, sizes; no value that was not stated."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.items.drawn import place_in_words, printed_numbers
from calclib.models.devices import Device
from calclib.quantity.writing import write_number, write_unit

UNITS_PER_ML = 100
"""Units of insulin in a mL of the strength that the syringes are marked for (U-100)."""


@dataclass(frozen=True)
class Scale:
    """The graduation of a device, by whole marks.

    Args:
        device: The device.
    """

    device: Device

    @property
    def marks(self) -> int:
        """How many marks stand above 0; a bag's scale ends one number before its bottom."""
        end = self.device.end - (self.device.labelled if self.device.from_top else 0)
        return int(end / self.device.mark)

    def value(self, mark: int) -> Fraction:
        """Return the value of a mark [unit of the device], exactly.

        Args:
            mark: The mark's number, 0 for the zero of the scale.
        """
        return mark * self.device.mark

    def mark_of(self, value: Fraction) -> int:
        """Return the number of the mark on which a value stands.

        Args:
            value: A value that stands on a mark [unit of the device].
        """
        mark = value / self.device.mark
        assert mark.denominator == 1, f"{value} stands on no mark of the {self.device.says}"
        return mark.numerator

    def words(self, mark: int, *, ring: bool) -> str:
        """Return where a mark stands, by the printed number before it: what an eye sees, and no value.

        Args:
            mark: The mark's number.
            ring: Whether a plunger's ring begins at the mark; then both of its edges are told.
        """
        at = self.value(mark)
        place = place_in_words(self.device, at)
        if not ring or not self.device.ring:
            return place
        back = place_in_words(self.device, at + self.device.ring)
        return f"edge nearest the needle {place}, edge nearest the handle {back}"


def facts(of: Device, *, ring: bool, told: bool) -> dict[str, Any]:
    """Return what a front end needs to draw a device, as values that JSON can hold.

    Args:
        of: The device.
        ring: Whether its plunger is moved, and not a line beside it.
        told: Whether the value is told beside the words of each mark.
    """
    scale = Scale(of)
    numbers = [Fraction(0), *printed_numbers(of)] if of.drawn != "cup" else list(printed_numbers(of))
    words = [scale.words(mark, ring=ring) for mark in range(scale.marks + 1)]
    if told:
        words = [f"{words[mark]}: {of.written(scale.value(mark))}" for mark in range(scale.marks + 1)]
    return {
        "drawn": of.drawn,
        "name": of.says,
        "unit": write_unit(of.unit),
        "marks": scale.marks,
        "spaces": of.spaces,
        "ring": int(of.ring / of.mark),
        "numbers": [[scale.mark_of(number), write_number(number)] for number in numbers],
        "words": words,
        "end": int(of.end / of.mark),
        **_millimeters(of),
    }


def _millimeters(of: Device) -> dict[str, float]:
    """The sizes of a device, for drawing alone."""
    size = sizes().get(of.name)
    if size is None:
        return {}
    if of.drawn == "cup":
        return {"bottom": float(size["bottom"]), "rim": float(size["rim"]), "milliliters": float(of.end)}
    milliliters = of.end / UNITS_PER_ML if of.unit == "units" else of.end
    length = Fraction(size["scale"])
    # A cylinder that holds the volume over that length: its bore is 2 * sqrt(volume / (pi * length)).
    bore = 2 * (float(milliliters * 1000 / length) / 3.141592653589793) ** 0.5
    return {"length": float(length), "bore": bore}


@cache
def sizes() -> Mapping[str, Mapping[str, str]]:
    """Return the sizes of the devices that are drawn to scale, in mm."""
    return tomllib.loads(files("calclib.widgets.devices").joinpath("sizes.toml").read_text("utf-8"))
