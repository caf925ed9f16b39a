"""A value that is drawn on a device and not stated: what is recorded, and the words that stand for the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.models.devices import LEVEL, Device, device_of
from calclib.quantity.writing import write_number, write_unit
from calclib.wording.facts import Fact, fact

SECONDS = 15
"""How long the drops of a drawn drip chamber are watched."""

THIRDS = ("first", "next", "last")


@dataclass(frozen=True)
class Drawing:
    """A drawn device.

    Args:
        given: The given that is read from it.
        device: The device as it was when the item was drawn.
        level: Where its level stands; None where the device is empty and the worth of a small mark is read.
    """

    given: str
    device: Device
    level: Fraction | None

    @property
    def alt(self) -> str:
        """The drawing in words: all that can be seen, and no more."""
        return " ".join(_seen(self.device, self.level))

    def to_record(self) -> dict[str, Any]:
        """Return the drawing as values that JSON can hold; it is drawn again from them alone."""
        of = self.device
        return {
            "given": self.given,
            "level": None if self.level is None else str(self.level),
            "device": of.name,
            "says": of.says,
            "drawn": of.drawn,
            "unit": of.unit,
            "end": str(of.end),
            "mark": str(of.mark),
            "labelled": str(of.labelled),
            "ring": str(of.ring),
            "from_top": of.from_top,
            "taken_for": [str(one) for one in of.taken_for],
            "source": of.source,
        }


def drawing_of(record: Mapping[str, Any]) -> Drawing:
    """Return the drawing that `Drawing.to_record` recorded."""
    level = record["level"]
    return Drawing(record["given"], device_of(record["device"], record), None if level is None else Fraction(level))


def drop_times(count: int) -> tuple[Fraction, ...]:
    """Return the seconds at which so many drops fall, evenly spread over the watched time."""
    return tuple(Fraction(2 * place + 1, 2 * count) * SECONDS for place in range(count))


def printed_numbers(of: Device) -> tuple[Fraction, ...]:
    """Return the numbers printed on a scale; a bag's scale ends before its bottom."""
    count = int(of.end / of.labelled)
    return tuple(of.labelled * place for place in range(1, count + (not of.from_top)))


def _seen(of: Device, level: Fraction | None) -> Iterator[str]:
    if of.drawn == "chamber":
        assert level is not None
        yield f"Drawing of a drip chamber and a strip of {SECONDS} seconds on which each drop is shown as it falls."
        yield from _drops(int(level))
        return
    *most, last = (write_number(number) for number in printed_numbers(of))
    unit = write_unit(of.unit)
    scale = f"{', '.join(most)} and {last} {unit}"
    spaces = f"from one printed number to the next there are {of.spaces} equal spaces."
    if of.drawn == "syringe":
        yield f"Drawing of {_article(of.says)} {of.says}{' with its plunger pushed in' if level is None else ''}."
        yield f"Its scale begins with 0 at the needle end. The printed numbers are {scale}; {spaces}"
        if level is not None:
            yield f"The ring of the plunger has two edges: the edge nearest the needle is {place_in_words(of, level)},"
            yield f"the edge nearest the handle {place_in_words(of, level + of.ring)}."
    elif of.drawn == "cup":
        yield f"Drawing of {_article(of.says)} {of.says}, at eye level."
        yield f"The printed numbers from bottom to top are {scale}; {spaces}"
        if level is not None:
            yield f"The surface of the liquid is {place_in_words(of, level)}."
    else:
        yield f"Drawing of a hanging {of.says}. Its scale begins with 0 at the top and counts"
        yield f"downward. The printed numbers are {scale}; {spaces}"
        if level is not None:
            yield f"The surface of the fluid is {place_in_words(of, level)}."


def _drops(count: int) -> Iterator[str]:
    times = drop_times(count)
    third = Fraction(SECONDS, 3)
    for place, word in enumerate(THIRDS):
        here = sum(place * third <= time < (place + 1) * third for time in times)
        yield f"In the {word} {write_number(third)} seconds: {', '.join(['drop'] * here) or 'none'}."


def place_in_words(of: Device, value: Fraction) -> str:
    """Return where a value stands on the scale, by the printed number before it; never the value itself.

    Args:
        of: The device.
        value: A value that stands on a mark, 0 among them.
    """
    start, count = of.below(value), of.past(value)
    at = f"the {write_number(start)} mark" if start else "0"
    if not count:
        return f"at {at}"
    way = "above" if of.drawn == "cup" else "below" if of.from_top else "past"
    return f"{count} small {'mark' if count == 1 else 'marks'} {way} {at}"


def _article(words: str) -> str:
    return "an" if words.startswith(("8", "11,", "18")) else "a"


# How a reading is explained


def reading_lines(drawing: Drawing, says: str) -> tuple[Fact, ...]:
    """Return how a drawn value is read, for a worked solution.

    Args:
        drawing: The drawing.
        says: The words for the value.
    """
    of, level = drawing.device, drawing.level
    if of.drawn == "chamber":
        assert level is not None
        return (fact("worked.drawing_drops", phrase=says, level=of.written(level)),)
    mark = of.written(of.mark)
    labelled = of.written(of.labelled)
    scale = fact("worked.drawing_scale", device=of.says, spaces=of.spaces, labelled=labelled, mark=mark)
    return (scale,) if level is None else (scale, _level(of, level, says))


def _level(of: Device, level: Fraction, says: str) -> Fact:
    start, count = of.below(level), of.past(level)
    if start and count:
        steps = fact("worked.drawing_from", start=of.written(start), count=count, mark=of.written(of.mark))
    elif count:
        steps = fact("worked.drawing_from_zero", count=count, mark=of.written(of.mark))
    else:
        return fact("worked.drawing_level", where=_READ_AT[of.drawn], phrase=says, level=of.written(level))
    return fact("worked.drawing_steps", where=_READ_AT[of.drawn], phrase=says, steps=steps, level=of.written(level))


_READ_AT = {"syringe": fact("worked.read_syringe"), "cup": fact("worked.read_cup"), "bag": fact("worked.read_bag")}


def reading_hint(drawing: Drawing, rung: int) -> tuple[Fact, ...]:
    """Return how to go about reading a drawn value; what it comes to is left to the student.

    Args:
        drawing: The drawing.
        rung: 1 says where to look, 2 and 3 what to count.
    """
    of = drawing.device
    if of.drawn == "chamber":
        return (fact("hint.drawing_drops"),)
    if rung == 1:
        return (fact("hint.drawing_scale", device=of.says),)
    where = () if drawing.level is None else (fact("hint.drawing_level", where=_READ_AT[of.drawn]),)
    return (fact("hint.drawing_mark", labelled=of.written(of.labelled)), *where)


def drawing_for(given: str, of: Device, reads: str, value: Fraction) -> Drawing:
    """Return the drawing from which a value is read."""
    return Drawing(given, of, value if reads == LEVEL else None)
