"""Papers as a nurse meets them: an order sheet, a record, a label, a reference, a syringe with its label.

Plain text and rules in grays, as an exam is printed. Nothing shows what is to be decided.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache

from calclib.items.drawn import Drawing
from calclib.models.papers import BLANK, Paper
from calclib.plots.devices import device_html
from calclib.plots.picture import svg_html
from calclib.plots.svg import LINE, box, page, words
from calclib.wording import of_kind, sentence

BAND, PALE = "#E4E4E4", "#F7F7F7"
WIDTH, WIDEST = 400, 680
"""On a phone of 390 pixels a paper of the usual width keeps letters of 12 pixels; only many columns make it wider."""

ROW, MARGIN, SIZE = 24, 16, 15
LETTER, LETTER_BOLD = 7.9, 8.3  # pixels of a letter at this size, widely taken, so that a browser's own font fits
KEPT = re.compile(r"(?<=\d) (?=(?:mg|mcg|g|kg|mL|h|min|units?|mEq|mm)\b)|(?<=\b[A-Z]\.) ")
"""The blank between a number and its unit, and after an initial: no line ends there."""

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
    pad = MARGIN + 4
    if paper.kind == "syringe":
        lines = [piece for line in paper.lines for piece in _wrapped(line, int((WIDTH - 2 * pad - 20) / LETTER))]
        return page(WIDTH, 106 + ROW * max(0, len(lines) - 1), [*_syringe(lines)])
    width = _width(paper, pad)
    title = paper.title or (sentence(of_kind("paper", paper.kind)) if paper.kind in HEADINGS else "")
    titles = [*_wrapped(title, int((width - 2 * pad) / LETTER_BOLD))] if title else []
    lines = [piece for line in paper.lines for piece in _wrapped(line, int((width - 2 * pad) / LETTER))]
    band = 14 + (ROW - 4) * len(titles) if titles else 0
    height = band + (12 + ROW * len(lines) if lines else 0)
    grid = [*_grid(paper, band + (18 + ROW * len(lines) if lines else 10), pad, width)] if paper.heads else []
    height += _grid_height(paper, pad, width) + 20 if grid else 6
    round_by = 14 if paper.kind == "label" else 2
    shapes = [box(1, 1, width - 2, height - 2, PALE if paper.kind == "label" else "white", round_by, 1.6)]
    if titles:
        shapes.append(box(1, 1, width - 2, band, BAND, round_by, 1.2))
        shapes += [words(pad, 23 + (ROW - 4) * place, line, bold=True, size=SIZE) for place, line in enumerate(titles)]
    shapes += [words(pad, band + 22 + ROW * place, line, size=SIZE) for place, line in enumerate(lines)]
    return page(width, height, [*shapes, *grid])


def _wrapped(text: str, most: int) -> Iterator[str]:
    """A text in lines of at most so many letters, broken between words."""
    line = ""
    for word in KEPT.sub("\u00a0", text).split(" "):
        if line and len(line) + 1 + len(word) > most:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line


def _width(paper: Paper, pad: int) -> int:
    """The usual width, more where the longest words of the columns need it."""
    needed = sum(least for least, _ in _room(paper)) + 2 * pad if paper.heads else 0
    return min(max(WIDTH, int(needed) + 1), WIDEST)


def _room(paper: Paper) -> list[tuple[float, float]]:
    """For each column the width of its longest word and that of its longest cell."""
    columns = [[str(cell) for cell in column] for column in zip(paper.heads, *paper.rows, strict=True)]
    words = [max(len(word) for cell in column for word in KEPT.sub("\u00a0", cell).split(" ")) for column in columns]
    cells = [max(map(len, column)) for column in columns]
    return [
        (word * LETTER_BOLD + 14, max(cell, word) * LETTER_BOLD + 20) for word, cell in zip(words, cells, strict=True)
    ]


def _columns(paper: Paper, pad: int, width: int) -> list[float]:
    """The widths of the columns: of their longest cells, and where these don't fit, each gives way down to a word."""
    room = _room(paper)
    free = width - 2 * pad - sum(least for least, _ in room)
    wished = sum(most - least for least, most in room)
    share = max(0.0, min(1.0, free / wished))
    return [least + (most - least) * share for least, most in room]


def _cells(paper: Paper, pad: int, width: int) -> list[list[list[str]]]:
    """The lines of each cell, row by row, the heads first."""
    widths = _columns(paper, pad, width)
    return [
        [[*_wrapped(cell, int((one - 12) / LETTER_BOLD))] for cell, one in zip(row, widths, strict=True)]
        for row in (paper.heads, *paper.rows)
    ]


def _row_height(row: Sequence[Sequence[str]]) -> int:
    return max(len(lines) for lines in row) * (ROW - 3) + 8


def _grid_height(paper: Paper, pad: int, width: int) -> int:
    return sum(_row_height(row) for row in _cells(paper, pad, width))


def _grid(paper: Paper, top: float, pad: int, width: int) -> Iterator[str]:
    widths = _columns(paper, pad, width)
    for place, row in enumerate(_cells(paper, pad, width)):
        height, left = _row_height(row), float(pad)
        for lines, column in zip(row, widths, strict=True):
            yield box(left, top, column, height, BAND if not place else "white")
            for number, line in enumerate(lines):
                yield words(left + 7, top + 19 + number * (ROW - 3), line, bold=not place, size=SIZE)
            left += column
        top += height


def _syringe(lines: Sequence[str]) -> Iterator[str]:
    """A filled syringe lying on its side; its label, if it has one, hangs on it as a flag."""
    yield box(10, 51, 36, 4, LINE)
    yield box(46, 44, 12, 18, PALE)
    yield box(58, 28, 262, 50, "#DCDCDC", 3, 1.4)
    yield box(312, 30, 12, 46, "#3A3A3A")
    yield box(320, 20, 8, 66, PALE)
    yield box(328, 46, 48, 14, "white")
    yield box(376, 28, 8, 50, PALE)
    if tuple(lines) == (BLANK,):
        return
    yield box(30, 16, 340, 18 + ROW * len(lines), "white", 3)
    yield from (words(40, 38 + ROW * place, line, size=SIZE) for place, line in enumerate(lines))
