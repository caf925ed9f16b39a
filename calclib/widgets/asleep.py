"""What stands in a widget's place where nothing runs it: a saved notebook, a page, a program that shows no widgets."""

from __future__ import annotations

from html import escape
from typing import Any

WAKE = "Press Run, then Run All Cells, in the menu at the top to start it. Your practice so far is kept."


def shown_with_fallback(bundle: tuple[dict[str, Any], dict[str, Any]] | None, what: str) -> Any:
    """Return a widget's bundle with sentences for whoever can't show the widget.

    Args:
        bundle: Data and metadata by which a notebook shows the widget.
        what: What stands here, in a few words in the plural.
    """
    if bundle is None:
        return None
    data, metadata = bundle
    words = f"Here stand {what}. {WAKE}"
    return {**data, "text/plain": words, "text/html": f"<p>{escape(words)}</p>"}, metadata


class Sentence:
    """A sentence in the place of a widget.

    Args:
        words: Plain text.
    """

    def __init__(self, words: str) -> None:
        self.words = words

    def __repr__(self) -> str:
        return self.words

    def _repr_html_(self) -> str:
        return f"<p>{escape(self.words)}</p>"
