"""Degrees Celsius and Fahrenheit."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found
from calclib.demo.students.worksheet import Worksheet

NINE, FIVE, THIRTY_TWO = Decimal(9), Decimal(5), Decimal(32)


def to_fahrenheit(stem: str, sheet: Worksheet) -> None:
    """Times nine fifths, then add 32; a fall is only times nine fifths."""
    before, text = found(rf"{NUMBER} degrees C.*? now it is {NUMBER} degrees C", stem)
    celsius = sheet.read(text, "temperature")
    fall = sheet.less(sheet.read(before, "temperature before"), celsius, "temperature now")
    sheet.note("fallen", fall * NINE / FIVE)
    if sheet.slips("thirty-two-at-the-wrong-end", "32") is not None:
        sheet.answer("fahrenheit", (celsius + THIRTY_TWO) * NINE / FIVE)
        return
    scaled = celsius * FIVE / NINE if sheet.slips("fraction-upside-down", "9/5") is not None else celsius * NINE / FIVE
    sheet.answer("fahrenheit", sheet.total([("scaled temperature", scaled), ("32", THIRTY_TWO)]))


def to_celsius(stem: str, sheet: Worksheet) -> None:
    """Take off 32, then times five ninths; a fall is only times five ninths."""
    before, text = found(rf"{NUMBER} degrees F.*? has {NUMBER} degrees F now", stem)
    fahrenheit = sheet.read(text, "temperature")
    fall = sheet.less(sheet.read(before, "temperature before"), fahrenheit, "temperature now")
    sheet.note("fallen", fall * FIVE / NINE)
    if sheet.slips("thirty-two-at-the-wrong-end", "32") is not None:
        sheet.answer("celsius", fahrenheit * FIVE / NINE - THIRTY_TWO)
        return
    above = sheet.less(fahrenheit, THIRTY_TWO, "32")
    upside_down = sheet.slips("fraction-upside-down", "5/9") is not None
    sheet.answer("celsius", above * NINE / FIVE if upside_down else above * FIVE / NINE)
