"""The style sheets of practice and lessons, each with the colors that both share."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).parent


def styles(name: str) -> str:
    """Return a style sheet with the shared colors before it.

    Args:
        name: Its file in this folder.
    """
    return "".join((HERE / one).read_text(encoding="utf-8") for one in ("palette.css", name))
