"""A figure with the text that stands for it where it can't be seen."""

from __future__ import annotations

import base64
import io
from html import escape
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from matplotlib.figure import Figure


POINTS_PER_INCH = 72
TEXT = 10.5
"""Size of the text around a plot for which plots are laid out [points]: 14 pixels."""


class Picture(NamedTuple):
    """A figure and its text; a notebook shows it with the text attached.

    Args:
        figure: The matplotlib figure.
        alt: What the figure shows, in words.
    """

    figure: Figure
    alt: str

    def _repr_html_(self) -> str:
        """As wide as the text around it asks for: whoever enlarges the text gets larger words in the picture too."""
        wide = float(self.figure.get_size_inches()[0]) * POINTS_PER_INCH / TEXT
        picture = as_html(self.figure, self.alt, width=f"{wide:.4g}em")
        return f'<div role="region" aria-label="Plot" tabindex="0" style="overflow-x: auto">{picture}</div>'


def as_html(figure: Figure, alt: str, *, words_as_text: bool = False, width: str = "") -> str:
    """An `<img>` element with alternative text, for a page or a notebook.

    Notebooks drop the alternative text of image outputs, so the picture travels inside of HTML.

    Args:
        figure: The matplotlib figure.
        alt: What the figure shows, in words.
        words_as_text: Whether words stay text in the reader's own font, which makes a small picture; else their
            letters are drawn, the same for every reader.
        width: How wide it is, whatever the room; else its own width, or what room there is.
    """
    return svg_html(as_svg(figure, words_as_text=words_as_text), alt, width=width)


def svg_html(svg: bytes, alt: str, *, width: str = "") -> str:
    """An `<img>` element with a drawing and its alternative text.

    Args:
        svg: The drawing.
        alt: What it shows, in words.
        width: How wide it is, whatever the room; else its own width, or what room there is.
    """
    picture = base64.b64encode(svg).decode("ascii")
    size = f"width: {width}; max-width: none" if width else "max-width: 100%"
    style = f"{size}; height: auto; background: white"
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
