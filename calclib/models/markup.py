"""Signs that a notebook or a page would take for markup: in a problem they have no place."""

from __future__ import annotations

import re

_MARKUP = re.compile(
    r"<[A-Za-z/!?]"  # an element, a comment, an address in angle brackets
    r"|&(?:#\d|#[xX][0-9A-Fa-f]|[A-Za-z]\w*;)"  # a sign by its name or number
    r"|\]\s?[(\[:]"  # a link or a picture
    r"|://|(?i:\b(?:java|vb)script:)"  # an address
    r"|`|\$"  # code, a formula
    r"|\\[A-Za-z(\[]"  # a formula's command
)


def markup_in(text: str) -> str | None:
    """Return the first signs of a text that Markdown or HTML would not show as they stand; None if there are none."""
    found = _MARKUP.search(text)
    return found[0] if found else None
