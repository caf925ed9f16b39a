"""The scripts and the style of the devices, as one text for each widget."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def script(name: str) -> str:
    """Return a widget's script with what all of them share before it: a widget is one module, and imports nothing.

    Args:
        name: The script's name without its ending.
    """
    folder = files("calclib.widgets.devices").joinpath("front_end")
    return "\n".join(folder.joinpath(f"{one}.js").read_text("utf-8") for one in ("shared", name))


@cache
def style() -> str:
    """Return the style of all devices."""
    return files("calclib.widgets.devices").joinpath("front_end").joinpath("devices.css").read_text("utf-8")
