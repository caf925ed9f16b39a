"""A text of somebody else's as it stands in a Markdown cell: its signs are letters, never markup."""

from __future__ import annotations

import re

from calclib.errors.unseen import unseen_shown

# What begins an element, a reference, emphasis, code, a link, a picture, a table or a heading.
_MARKUP = re.compile(r"[<>&`*_\[\]|~#^!@]")
# A dollar sign and a backslash begin a formula, also when they are written as a reference; not within an element.
_FORMULA = re.compile(r"[$\\]")
# Addresses become links without any sign around them.
_ADDRESS = re.compile(r":(?=//)|(?<=\bwww)\.", re.IGNORECASE)


def plain_markdown(text: str) -> str:
    """Return a text for a Markdown cell that shows its signs as they are; ends of lines stay.

    Texts of the bank hold none of these signs, and come as they are.
    """
    shown = _MARKUP.sub(_reference, unseen_shown(text))
    shown = _ADDRESS.sub(_reference, shown)
    return _FORMULA.sub(lambda found: f"<span>{_reference(found)}</span>", shown)


def _reference(found: re.Match[str]) -> str:
    return f"&#{ord(found.group())};"
