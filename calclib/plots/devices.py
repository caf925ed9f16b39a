"""Drawings of devices from which a student reads a value: syringe, medicine cup, bag, drip chamber.

Plain geometry in grays, as an exam is printed. Nothing but the drawing shows the value: no title, no hidden text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from calclib.items.drawn import SECONDS, Drawing, drop_times, printed_numbers
from calclib.models.devices import Device
from calclib.plots import svg
from calclib.plots.picture import svg_html
from calclib.plots.svg import INK, LINE, Point
from calclib.quantity.writing import write_number, write_unit
from calclib.wording import said

LIQUID = "#DCDCDC"
RUBBER = "#3A3A3A"
GLASS = "#F7F7F7"

POINT = 1 / 72
"""Inches."""
LONG = 400 / 7.2
"""Pixels for an inch of what is wide."""
LETTERS = 12
"""Size of printed numbers [pixels]: on a phone that is 390 pixels wide they lose a tenth of it at most."""


class Sheet:
    """Where a device is drawn, in inches from the lower left corner.

    Args:
        width: Its width [inches].
        height: Its height [inches].
        per_inch: Pixels of the drawing for each inch; few for what is wide, so that letters stay large beside it.
        shown: How many times as wide it is shown where there is room.
    """

    def __init__(self, width: float, height: float, *, per_inch: float, shown: float = 1) -> None:
        self.width, self.height, self.per_inch, self.shown = width, height, per_inch, shown
        self.shapes: list[str] = []

    def at(self, point: Point) -> Point:
        """A point in pixels from the upper left corner."""
        x, y = point
        return x * self.per_inch, (self.height - y) * self.per_inch

    def thick(self, points: float) -> float:
        """A width of 1/72 inch in pixels."""
        return points * POINT * self.per_inch

    def svg(self) -> bytes:
        """What has been drawn."""
        width = self.width * self.per_inch
        return svg.page(width, self.height * self.per_inch, self.shapes, shown=width * self.shown)


def device_svg(drawing: Drawing) -> bytes:
    """Return a drawing as SVG, the same bytes each time.

    Args:
        drawing: What an item or its record holds.
    """
    draw = {"syringe": _syringe, "cup": _cup, "bag": _bag, "chamber": _chamber}[drawing.device.drawn]
    return draw(drawing).svg()


@lru_cache(maxsize=512)
def device_html(drawing: Drawing) -> str:
    """Return a drawing as an `<img>` with alternative text, the same text each time.

    Args:
        drawing: What an item or its record holds.
    """
    return svg_html(device_svg(drawing), drawing.alt)


def _lines(sheet: Sheet, pairs: Sequence[tuple[Point, Point]], width: float = 1.0, color: str = INK) -> None:
    """Many strokes as one path, which keeps the file small."""
    placed = [(sheet.at(start), sheet.at(end)) for start, end in pairs]
    sheet.shapes.append(svg.strokes(placed, sheet.thick(width), color))


def _shape(
    sheet: Sheet,
    points: Sequence[Point],
    *,
    fill: str = "none",
    edge: str = LINE,
    width: float = 1.2,
    closed: bool = True,
) -> None:
    placed = [sheet.at(point) for point in points]
    sheet.shapes.append(svg.outline(placed, fill=fill, edge=edge, width=sheet.thick(width), closed=closed))


def _write(sheet: Sheet, x: float, y: float, text: str, *, ha: str = "middle") -> None:
    """Words whose capitals stand around y."""
    left, middle = sheet.at((x, y))
    sheet.shapes.append(svg.words(left, middle + 0.36 * LETTERS, text, size=LETTERS, anchor=ha))


def _syringe(drawing: Drawing) -> Sheet:
    of, level = drawing.device, drawing.level
    sheet = Sheet(7.2, 1.65, per_inch=LONG, shown=1.6)
    left, right, low, high = 1.0, 5.75, 0.42, 1.08
    middle = (low + high) / 2
    scale = (right - 0.35 - left) / float(of.end)
    at = left + float(level or 0) * scale
    ring = float(of.ring) * scale
    rest = right + (0.62 if level is None else 0.62 + min(float(level) * scale, 0.5))
    _shape(
        sheet,
        [(0.1, middle - 0.012), (0.62, middle - 0.012), (0.62, middle + 0.012), (0.1, middle + 0.012)],
        fill=LINE,
        width=0.5,
    )
    _shape(
        sheet, [(0.62, middle - 0.1), (0.86, middle - 0.14), (0.86, middle + 0.14), (0.62, middle + 0.1)], fill=GLASS
    )
    _shape(
        sheet, [(0.86, middle - 0.07), (left, middle - 0.07), (left, middle + 0.07), (0.86, middle + 0.07)], fill=GLASS
    )
    _shape(sheet, [(left, low), (right, low), (right, high), (left, high)], fill="white", edge="none")
    if level is not None:
        _shape(sheet, [(left, low), (at, low), (at, high), (left, high)], fill=LIQUID, edge="none")
    _shape(
        sheet,
        [(at + ring, middle - 0.13), (rest, middle - 0.13), (rest, middle + 0.13), (at + ring, middle + 0.13)],
        fill="white",
    )
    _lines(sheet, [((at + ring, middle), (rest, middle))], 0.8, LINE)
    _stopper(sheet, at, at + ring, low + 0.015, high - 0.015)
    _shape(sheet, [(left, low), (right, low), (right, high), (left, high)])
    _shape(
        sheet,
        [(right, low - 0.2), (right + 0.09, low - 0.2), (right + 0.09, high + 0.2), (right, high + 0.2)],
        fill=GLASS,
    )
    _shape(
        sheet,
        [(rest, middle - 0.32), (rest + 0.09, middle - 0.32), (rest + 0.09, middle + 0.32), (rest, middle + 0.32)],
        fill=GLASS,
    )
    _ruler(sheet, of, left, scale, high)
    return sheet


def _stopper(sheet: Sheet, front: float, back: float, low: float, high: float) -> None:
    """The rubber ring: thick at its two edges, with a groove between."""
    lip, groove = min(0.09, (back - front) / 3), 0.08
    outline = [(front, low), (front + lip, low), (front + lip, low + groove), (back - lip, low + groove)]
    outline += [(back - lip, low), (back, low), (back, high), (back - lip, high), (back - lip, high - groove)]
    outline += [(front + lip, high - groove), (front + lip, high), (front, high)]
    _shape(sheet, outline, fill=RUBBER, edge=RUBBER, width=0.4)


def _ruler(sheet: Sheet, of: Device, left: float, scale: float, top: float) -> None:
    """Marks along the upper wall, so that nothing lies between them and the ring's edges; numbers above."""
    numbers = {Fraction(0), *printed_numbers(of)}
    marks = [of.mark * place for place in range(int(of.end / of.mark) + 1)]
    halves = of.labelled / 2
    strokes: list[tuple[Point, Point]] = []
    for value in marks:
        x = left + float(value) * scale
        length = 0.2 if value in numbers else 0.15 if of.spaces == 10 and (value / halves).denominator == 1 else 0.11
        strokes.append(((x, top + 0.02), (x, top + 0.02 + length)))
    _lines(sheet, strokes, 0.9)
    for value in numbers:
        _write(sheet, left + float(value) * scale, top + 0.4, write_number(value))
    _write(sheet, left - 0.44, top + 0.4, write_unit(of.unit))


def _cup(drawing: Drawing) -> Sheet:
    of, level = drawing.device, drawing.level
    sheet = Sheet(3.0, 3.2, per_inch=96)
    bottom, top, half_low, half_high = 0.25, 2.95, 0.72, 1.06
    middle = 1.5
    scale = (2.62 - bottom) / float(of.end)

    def half(y: float) -> float:
        return half_low + (half_high - half_low) * (y - bottom) / (top - bottom)

    def y_of(value: Fraction) -> float:
        return bottom + 0.06 + float(value) * scale

    if level is not None:
        y = y_of(level)
        edge = [
            (middle - half(bottom), bottom),
            (middle + half(bottom), bottom),
            (middle + half(y), y),
            (middle - half(y), y),
        ]
        _shape(sheet, edge, fill=LIQUID, edge="none")
        _lines(sheet, [((middle - half(y), y), (middle + half(y), y))], 1.6)
    _shape(
        sheet,
        [
            (middle - half(top), top),
            (middle - half(bottom), bottom),
            (middle + half(bottom), bottom),
            (middle + half(top), top),
        ],
        closed=False,
        width=1.6,
    )
    _lines(sheet, [((middle - half(top) - 0.06, top), (middle + half(top) + 0.06, top))], 2.2, LINE)
    strokes: list[tuple[Point, Point]] = []
    numbers = printed_numbers(of)
    for place in range(1, int(of.end / of.mark) + 1):
        value = of.mark * place
        y, length = y_of(value), 0.34 if value in numbers else 0.2
        x = middle - half(y) + 0.05
        strokes.append(((x, y), (x + length, y)))
    _lines(sheet, strokes, 1.0)
    for value in numbers:
        y = y_of(value)
        _write(sheet, middle - half(y) + 0.45, y, f"{write_number(value)} {write_unit(of.unit)}", ha="start")
    return sheet


def _bag(drawing: Drawing) -> Sheet:
    of, level = drawing.device, drawing.level
    sheet = Sheet(2.8, 4.4, per_inch=96)
    left, right, low, high = 0.4, 2.4, 0.75, 4.0
    zero, last = 3.62, 1.0
    scale = (zero - last) / float(of.end)
    _shape(sheet, _rounded(left, right, low, high), fill="white", width=1.6)
    if level is not None:
        y = zero - float(level) * scale
        _shape(sheet, _below(_rounded(left, right, low, high), left, right, y), fill=LIQUID, edge="none")
        _lines(sheet, [((left + 0.02, y), (right - 0.02, y))], 1.6)
    _shape(sheet, _rounded(left, right, low, high), width=1.6)
    _shape(sheet, _rounded(1.28, 1.52, 4.08, 4.2, 0.05), fill="white", width=1.2)
    _lines(sheet, [((1.15, 4.0), (1.15, 4.3)), ((1.65, 4.0), (1.65, 4.3)), ((1.15, 4.3), (1.65, 4.3))], 1.2, LINE)
    for x in (1.1, 1.7):
        _shape(sheet, [(x - 0.08, low), (x - 0.08, low - 0.28), (x + 0.08, low - 0.28), (x + 0.08, low)], fill=GLASS)
    _lines(sheet, [((1.1, low - 0.28), (1.1, 0.05))], 2.0, LINE)
    strokes: list[tuple[Point, Point]] = []
    numbers = {Fraction(0), *printed_numbers(of)}
    x = left + 0.42
    for place in range(int((of.end - of.labelled) / of.mark) + 1):
        value = of.mark * place
        y, length = zero - float(value) * scale, 0.34 if value in numbers else 0.2
        strokes.append(((x, y), (x + length, y)))
    strokes.append(((x, zero), (x, zero - float(of.end - of.labelled) * scale)))
    _lines(sheet, strokes, 1.0)
    for value in numbers:
        _write(sheet, x + 0.42, zero - float(value) * scale, write_number(value), ha="start")
    _write(sheet, x + 0.42, zero + 0.2, write_unit(of.unit), ha="start")
    return sheet


def _rounded(left: float, right: float, low: float, high: float, radius: float = 0.22) -> list[Point]:
    """A rectangle with round corners, each in a few points, from the lower left corner on."""
    corners = ((left, low, 1, 1), (right, low, -1, 1), (right, high, -1, -1), (left, high, 1, -1))
    points: list[Point] = []
    for x, y, right_way, up in corners:
        arc = [math.pi / 2 * place / 5 for place in range(6)]
        corner = [(x + right_way * radius * (1 - math.sin(a)), y + up * radius * (1 - math.cos(a))) for a in arc]
        points += corner if right_way != up else corner[::-1]
    return points[::-1]


def _below(points: Sequence[Point], left: float, right: float, y: float) -> list[Point]:
    """The part of an outline below the surface."""
    middle = (left + right) / 2
    lower = [point for point in points if point[1] < y - 0.01]
    lower.sort(key=lambda point: (point[0] > middle, point[1] if point[0] > middle else -point[1]))
    return [*lower, (right, y), (left, y)]


def _chamber(drawing: Drawing) -> Sheet:
    assert drawing.level is not None
    sheet = Sheet(7.2, 2.4, per_inch=LONG, shown=1.6)
    left, right, low, high = 0.35, 1.15, 0.5, 1.85
    _shape(sheet, [(0.7, high + 0.36), (0.8, high + 0.36), (0.8, high), (0.7, high)], fill=GLASS)
    _shape(sheet, [(left, high), (left + 0.06, low), (right - 0.06, low), (right, high)], fill="white", width=1.4)
    _shape(
        sheet,
        [(left + 0.04, low + 0.4), (left + 0.06, low), (right - 0.06, low), (right - 0.04, low + 0.4)],
        fill=LIQUID,
        edge="none",
    )
    _lines(sheet, [((left + 0.04, low + 0.4), (right - 0.04, low + 0.4))], 1.0, LINE)
    _shape(sheet, [(left, high), (left + 0.06, low), (right - 0.06, low), (right, high)], width=1.4)
    _shape(sheet, [(0.72, low), (0.72, low - 0.4), (0.78, low - 0.4), (0.78, low)], fill=GLASS)
    _drop(sheet, 0.75, 1.5)
    start, end, line = 1.75, 6.95, 0.72
    per_second = (end - start) / SECONDS
    _lines(sheet, [((start, line), (end, line))], 1.2)
    _lines(
        sheet,
        [
            ((start + s * per_second, line), (start + s * per_second, line - (0.14 if s % 5 == 0 else 0.08)))
            for s in range(SECONDS + 1)
        ],
        1.0,
    )
    for s in range(0, SECONDS + 1, 5):
        _write(sheet, start + s * per_second, line - 0.27, f"{s} s")
    for time in drop_times(int(drawing.level)):
        _drop(sheet, start + float(time) * per_second, line + 0.3)
    _write(sheet, start, line + 0.85, said("plot.each_drop"), ha="start")
    return sheet


def _drop(sheet: Sheet, x: float, y: float) -> None:
    """A drop: a point above, round below."""
    w, h = 0.075, 0.2
    bends = (
        ((x + w * 0.5, y + h * 0.35), (x + w, y + h * 0.2), (x + w, y - h * 0.05)),
        ((x + w, y - h * 0.5), (x - w, y - h * 0.5), (x - w, y - h * 0.05)),
        ((x - w, y + h * 0.2), (x - w * 0.5, y + h * 0.35), (x, y + h)),
    )
    placed = [(sheet.at(first), sheet.at(second), sheet.at(end)) for first, second, end in bends]
    sheet.shapes.append(svg.curve(sheet.at((x, y + h)), placed, fill=LIQUID, edge=INK, width=sheet.thick(0.9)))
