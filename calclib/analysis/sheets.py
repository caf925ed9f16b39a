"""What a student's records say for `copies`: keys, and wrong values that no known mistake explains."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from calclib.analysis.copies import Place, Sheet
from calclib.answers.diagnosis.causes import GUESSES
from calclib.answers.typed_reading import read_part
from calclib.answers.units import typed_unit
from calclib.items import Item, ItemPart, item_from_record
from calclib.reading import Reading
from calclib.records import PartMark, SealedPaper

_DAY = 1440
_LOOKED_AT = ("wrong", "wrong_with_cause")


def sheet_of(student: str, paper: SealedPaper, marks: Iterable[PartMark]) -> Sheet:
    """Return one student's keys and unexplained wrong values; choices are left out, since there are few of them.

    Args:
        student: Any name of the student.
        paper: What was handed out to the student.
        marks: The marks of the student's answers.
    """
    items = {item.slot: item_from_record(item.record) for item in paper.items}
    keys: dict[Place, Fraction] = {}
    for slot, item in items.items():
        for part in item.parts:
            if part.key is not None and part.kind in ("quantity", "clock"):
                keys[slot, part.name] = part.key % _DAY if part.kind == "clock" else part.key
    wrong: dict[Place, Fraction] = {}
    for mark in marks:
        place = (mark.slot, mark.part)
        if place in keys and mark.verdict in _LOOKED_AT and not _explained(mark):
            value = typed_value(items[mark.slot], items[mark.slot].part(mark.part), mark.typed)
            if value is not None and value != keys[place]:
                wrong[place] = value
    return Sheet(student, keys, wrong)


def _explained(mark: PartMark) -> bool:
    # Such guesses fit a tenth of all wrong numbers and more; they explain too much to explain anything here.
    return any(cause["fault"] not in GUESSES for cause in mark.causes)


def typed_value(item: Item, part: ItemPart, typed: str) -> Fraction | None:
    """Return a typed number in the unit asked (a time in minutes after midnight), None where it isn't one."""
    reading = read_part(item, part, typed)
    if not isinstance(reading, Reading):
        return None
    if part.kind == "clock":
        return None if reading.clock is None else Fraction(reading.clock[0])
    if reading.value is None:
        return None
    unit = typed_unit(reading.unit, part.unit, tuple(item.equivalences.items()))
    return reading.value if unit.factor is None else reading.value * unit.factor
