"""Papers as a nurse meets them: an order sheet, a record, a label, a reference, a syringe with its label.

Plain text and rules in grays, as an exam is printed. Nothing shows what is to be decided.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from html import escape

from calclib.items.drawn import Drawing
from calclib.models.papers import BLANK, Paper
from calclib.plots.devices import device_html
from calclib.plots.picture import svg_html
from calclib.wording import of_kind, sentence

INK, LINE, BAND, PALE = "#1A1A1A", "#4D4D4D", "#E4E4E4", "#F7F7F7"
WIDTH = 680
ROW, MARGIN, SIZE = 24, 16, 15
LETTER = 7.9  # pixels of a letter at this size, widely taken, so that a browser's own font fits
HEADINGS = ("order", "record", "reference")


def picture_html(picture: Paper | Drawing) -> str:
    """Return a paper or a drawn device as an `<img>` with alternative text, the same text each time."""
    return paper_html(picture) if isinstance(picture, Paper) else device_html(picture)


@lru_cache(maxsize=512)
def paper_html(paper: Paper) -> str:
    """Return a paper as an `<img>` with alternative text, the same text each time.

    Args:
        paper: What an item or its record holds.
    """
    return svg_html(paper_svg(paper), paper.alt)


def paper_svg(paper: Paper) -> bytes:
    """Return a paper as SVG, the same bytes each time."""
    if paper.kind == "syringe":
        return _page(WIDTH, 120, [*_syringe(paper.lines)])
    pad = MARGIN + 4
    title = paper.title or (sentence(of_kind("paper", paper.kind)) if paper.kind in HEADINGS else "")
    lines = [piece for line in paper.lines for piece in _wrapped(line, int((WIDTH - 2 * pad) / LETTER))]
    band = 34 if title else 0
    height = band + (12 + ROW * len(lines) if lines else 0)
    grid = [*_grid(paper, band + (18 + ROW * len(lines) if lines else 10), pad)] if paper.heads else []
    height += _grid_height(paper, pad) + 20 if grid else 6
    round_by = 14 if paper.kind == "label" else 2
    shapes = [_box(1, 1, WIDTH - 2, height - 2, PALE if paper.kind == "label" else "white", round_by, 1.6)]
    if title:
        shapes.append(_box(1, 1, WIDTH - 2, band, BAND, round_by, 1.2))
        shapes.append(_text(pad, 23, title, bold=True))
    shapes += [_text(pad, band + 22 + ROW * place, line) for place, line in enumerate(lines)]
    return _page(WIDTH, height, [*shapes, *grid])


def _page(width: int, height: int, shapes: Sequence[str]) -> bytes:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">'
    ground = f'<rect width="{width}" height="{height}" fill="white"/>'
    return "\n".join((head, ground, *shapes, "</svg>")).encode()


def _box(x: float, y: float, width: float, height: float, fill: str, round_by: float = 0, stroke: float = 1) -> str:
    return (
        f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" rx="{round_by:g}" fill="{fill}" '
        f'stroke="{LINE}" stroke-width="{stroke:g}"/>'
    )


def _text(x: float, y: float, text: str, *, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    font = "Arial, Helvetica, 'Liberation Sans', sans-serif"
    look = f'font-family="{font}" font-size="{SIZE}"{weight} fill="{INK}"'
    return f'<text x="{x:g}" y="{y:g}" {look}>{escape(text)}</text>'


def _wrapped(text: str, most: int) -> Iterator[str]:
    """A text in lines of at most so many letters, broken between words."""
    line = ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > most:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line


def _columns(paper: Paper, pad: int) -> list[float]:
    """The widths of the columns, by their longest cell; the widest gives way where they don't fit."""
    cells = zip(paper.heads, *paper.rows, strict=True)
    widths = [max(len(cell) for cell in column) * LETTER + 20 for column in cells]
    over = sum(widths) - (WIDTH - 2 * pad)
    if over > 0:
        widest = widths.index(max(widths))
        widths[widest] = max(widths[widest] - over, 90)
    return widths


def _cells(paper: Paper, pad: int) -> list[list[list[str]]]:
    """The lines of each cell, row by row, the heads first."""
    widths = _columns(paper, pad)
    return [
        [[*_wrapped(cell, int((width - 12) / LETTER))] for cell, width in zip(row, widths, strict=True)]
        for row in (paper.heads, *paper.rows)
    ]


def _row_height(row: Sequence[Sequence[str]]) -> int:
    return max(len(lines) for lines in row) * (ROW - 3) + 8


def _grid_height(paper: Paper, pad: int) -> int:
    return sum(_row_height(row) for row in _cells(paper, pad))


def _grid(paper: Paper, top: float, pad: int) -> Iterator[str]:
    widths = _columns(paper, pad)
    for place, row in enumerate(_cells(paper, pad)):
        height, left = _row_height(row), float(pad)
        for lines, width in zip(row, widths, strict=True):
            yield _box(left, top, width, height, BAND if not place else "white")
            for number, line in enumerate(lines):
                yield _text(left + 7, top + 19 + number * (ROW - 3), line, bold=not place)
            left += width
        top += height


def _syringe(lines: Sequence[str]) -> Iterator[str]:
    """A filled syringe lying on its side; its label, if it has one, hangs on it as a flag."""
    yield _box(20, 57, 60, 4, LINE)
    yield _box(80, 50, 18, 18, PALE)
    yield _box(98, 34, 440, 50, "#DCDCDC", 3, 1.4)
    yield _box(538, 26, 8, 66, PALE)
    yield _box(530, 36, 14, 46, "#3A3A3A")
    yield _box(546, 52, 70, 14, "white")
    yield _box(616, 34, 8, 50, PALE)
    if tuple(lines) == (BLANK,):
        return
    yield _box(150, 22, 350, 18 + ROW * len(lines), "white", 3)
    yield from (_text(160, 44 + ROW * place, line) for place, line in enumerate(lines))
