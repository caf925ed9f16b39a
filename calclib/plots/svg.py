"""Plain SVG: boxes, strokes, outlines and words in grays, the same bytes each time, without a plotting library.

Words stay text in the reader's own font. Lengths are pixels from the upper left corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

INK, LINE = "#1A1A1A", "#4D4D4D"
FONT = "Arial, Helvetica, 'Liberation Sans', sans-serif"

Point = tuple[float, float]


def page(width: float, height: float, shapes: Iterable[str], *, shown: float | None = None) -> bytes:
    """Return a drawing on white.

    Args:
        width: Its width.
        height: Its height.
        shapes: What stands on it, the lowest first.
        shown: How wide it is shown where there is room, else its own width.
    """
    times = 1 if shown is None else shown / width
    size = f'width="{width * times:.6g}" height="{height * times:.6g}" viewBox="0 0 {width:.6g} {height:.6g}"'
    ground = f'<rect width="{width:.6g}" height="{height:.6g}" fill="white"/>'
    return "\n".join((f'<svg xmlns="http://www.w3.org/2000/svg" {size}>', ground, *shapes, "</svg>")).encode()


def box(x: float, y: float, width: float, height: float, fill: str, round_by: float = 0, stroke: float = 1) -> str:
    """Return a box with an edge, its corners round by so much."""
    return (
        f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" rx="{round_by:g}" fill="{fill}" '
        f'stroke="{LINE}" stroke-width="{stroke:g}"/>'
    )


def words(x: float, y: float, text: str, *, size: float, anchor: str = "", bold: bool = False) -> str:
    """Return words that stand on a line at y, from x on, around it ("middle") or up to it ("end")."""
    weight = ' font-weight="bold"' if bold else ""
    at = f' text-anchor="{anchor}"' if anchor else ""
    look = f'font-family="{FONT}" font-size="{size:g}"{weight}{at} fill="{INK}"'
    return f'<text x="{x:g}" y="{y:g}" {look}>{escape(text)}</text>'


def strokes(pairs: Sequence[tuple[Point, Point]], width: float, color: str = INK) -> str:
    """Return straight strokes, each between two points, as one path."""
    path = " ".join(f"M{_at(start)} L{_at(end)}" for start, end in pairs)
    return f'<path d="{path}" fill="none" stroke="{color}" stroke-width="{width:.3g}"/>'


def outline(points: Sequence[Point], *, fill: str, edge: str, width: float, closed: bool = True) -> str:
    """Return an outline through points, filled or not ("none")."""
    kind = "polygon" if closed else "polyline"
    line = f'stroke="{edge}" stroke-width="{width:.3g}" stroke-linejoin="round"'
    return f'<{kind} points="{" ".join(map(_at, points))}" fill="{fill}" {line}/>'


def curve(start: Point, bends: Sequence[tuple[Point, Point, Point]], *, fill: str, edge: str, width: float) -> str:
    """Return a closed outline of bends, each by two points to which it leans and one to which it goes."""
    path = " ".join(f"C{_at(first)} {_at(second)} {_at(end)}" for first, second, end in bends)
    return f'<path d="M{_at(start)} {path} Z" fill="{fill}" stroke="{edge}" stroke-width="{width:.3g}"/>'


def _at(point: Point) -> str:
    x, y = point
    return f"{round(x, 2):g},{round(y, 2):g}"
