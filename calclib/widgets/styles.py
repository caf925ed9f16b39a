"""The style sheets of practice, lessons and devices, each with the colors that all share."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).parent


def styles(*names: str) -> str:
    """Return style sheets with the shared colors before them.

    Args:
        names: Their files in this folder.
    """
    return "".join((HERE / one).read_text(encoding="utf-8") for one in ("palette.css", *names))
