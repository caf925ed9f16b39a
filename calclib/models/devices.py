"""Devices with a printed scale: their graduations, and how each is misread."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.errors.messages import BadInput
from calclib.quantity.writing import write_quantity
from calclib.wording.facts import fact

LEVEL, MARK = "level", "mark"
READINGS = (LEVEL, MARK)
"""What can be read from a drawn device: where its level stands, or what one small mark of it is worth."""


@dataclass(frozen=True)
class Device:
    """A device with a scale.

    Args:
        name: Its name in item models.
        says: Its words.
        drawn: syringe, cup, bag or chamber.
        unit: The unit of the scale.
        end: Its last mark.
        mark: From one mark to the next.
        labelled: From one printed number to the next.
        ring: How far apart the two edges of a plunger's ring stand; 0 without a ring.
        from_top: Whether 0 is at the top, and the scale counts what has run out.
        taken_for: What one small mark is mistaken for.
        source: Where the graduation comes from.
    """

    name: str
    says: str
    drawn: str
    unit: str
    end: Fraction
    mark: Fraction
    labelled: Fraction
    ring: Fraction = Fraction(0)
    from_top: bool = False
    taken_for: tuple[Fraction, ...] = ()
    source: str = "common_practice"

    @property
    def spaces(self) -> int:
        """How many spaces lie between two printed numbers."""
        return int(self.labelled / self.mark)

    def below(self, value: Fraction) -> Fraction:
        """Return the last printed number that is not above a value."""
        return (value / self.labelled).__floor__() * self.labelled

    def past(self, value: Fraction) -> int:
        """Return how many small marks a value stands past the last printed number."""
        return int((value - self.below(value)) / self.mark)

    def has_mark(self, value: Fraction) -> bool:
        """Return whether a value is one of the marks."""
        return 0 < value <= self.end and (value / self.mark).denominator == 1

    def written(self, value: Fraction) -> str:
        """Return a value in the unit of the scale."""
        return write_quantity(value, self.unit)


@cache
def devices() -> Mapping[str, Device]:
    """Return all devices by name."""
    text = files("calclib.models").joinpath("devices.toml").read_text(encoding="utf-8")
    return {name: device_of(name, fields) for name, fields in tomllib.loads(text).items()}


def device(name: str) -> Device:
    """Return one device.

    Raises:
        BadInput: There is none of that name.
    """
    if name not in devices():
        raise BadInput(fact("errors_models.no_device", name=name, known=tuple(devices())))
    return devices()[name]


def device_of(name: str, fields: Mapping[str, Any]) -> Device:
    """Return the device that the fields of a record describe."""
    return Device(
        name,
        fields["says"],
        fields["drawn"],
        fields["unit"],
        Fraction(fields["end"]),
        Fraction(fields["mark"]),
        Fraction(fields["labelled"]),
        Fraction(fields.get("ring", 0)),
        fields.get("from_top", False),
        tuple(Fraction(one) for one in fields.get("taken_for", ())),
        fields.get("source", "common_practice"),
    )


Misreading = tuple[Fraction, str, str]
"""What is read for the right value, the kind of mistake, and its direction where it has one."""


def misreadings(of: Device, reads: str, value: Fraction) -> tuple[Misreading, ...]:
    """Return how a device is misread.

    Args:
        of: The device.
        reads: What is read, one of READINGS.
        value: What is right.
    """
    found = _of_mark(of) if reads == MARK else _of_drops(value) if of.drawn == "chamber" else _of_level(of, value)
    return tuple(one for one in found if one[0] > 0 and one[0] != value)


def _of_mark(of: Device) -> Iterator[Misreading]:
    for other in of.taken_for:
        yield other, "mark misjudged", ""


def _of_drops(value: Fraction) -> Iterator[Misreading]:
    for more in (1, -1):
        yield value + more, "miscounted", "too many" if more > 0 else "too few"


def _of_level(of: Device, value: Fraction) -> Iterator[Misreading]:
    start, count = of.below(value), of.past(value)
    if of.from_top:
        yield of.end - value, "wrong end", ""
    for other in of.taken_for if count else ():
        if start + count * other <= of.end:
            yield start + count * other, "mark misjudged", ""
    if count:
        onward = start + 2 * of.labelled - count * of.mark
        if onward <= of.end:
            yield onward, "counted the wrong way", "past the level"
        yield start - count * of.mark, "counted the wrong way", "back"
    if of.ring:
        yield value + of.ring, "wrong edge", ""
