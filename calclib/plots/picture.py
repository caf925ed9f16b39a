"""A figure with the text that stands for it where it can't be seen."""

from __future__ import annotations

import base64
import io
from html import escape
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from matplotlib.figure import Figure


class Picture(NamedTuple):
    """A figure and its text; a notebook shows it with the text attached.

    Args:
        figure: The matplotlib figure.
        alt: What the figure shows, in words.
    """

    figure: Figure
    alt: str

    def _repr_html_(self) -> str:
        return as_html(self.figure, self.alt)


def as_html(figure: Figure, alt: str, *, words_as_text: bool = False) -> str:
    """An `<img>` element with alternative text, for a page or a notebook.

    Notebooks drop the alternative text of image outputs, so the picture travels inside of HTML.

    Args:
        figure: The matplotlib figure.
        alt: What the figure shows, in words.
        words_as_text: Whether words stay text in the reader's own font, which makes a small picture; else their
            letters are drawn, the same for every reader.
    """
    return svg_html(as_svg(figure, words_as_text=words_as_text), alt)


def svg_html(svg: bytes, alt: str) -> str:
    """An `<img>` element with a drawing and its alternative text.

    Args:
        svg: The drawing.
        alt: What it shows, in words.
    """
    picture = base64.b64encode(svg).decode("ascii")
    style = "max-width: 100%; height: auto; background: white"
    return f'<img alt="{escape(alt)}" style="{style}" src="data:image/svg+xml;base64,{picture}">'


def as_svg(figure: Figure, *, words_as_text: bool = False) -> bytes:
    """The figure as SVG, the same bytes each time."""
    import matplotlib
    from matplotlib.text import Text

    # A dollar sign in somebody's title is one, and begins no formula.
    for text in figure.findobj(Text):
        text.set_parse_math(False)
    page = io.BytesIO()
    # One font, so that words that stay text don't each carry a list of others.
    with matplotlib.rc_context(
        {
            "svg.hashsalt": "calclib",
            "text.parse_math": False,
            "svg.fonttype": "none" if words_as_text else "path",
            "font.family": "sans-serif",
            "font.sans-serif": "DejaVu Sans",
        }
    ):
        figure.savefig(page, format="svg", metadata={"Date": None})
    return page.getvalue()
