"""The scripts of the devices: one text for a widget of its own, and all of them for a page that holds any."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

IN_PROBLEMS = ("scaled", "chamber", "drawer", "form", "compared")
_EXPORT = "export default { render };"


@cache
def script(name: str) -> str:
    """Return a widget's script with what all of them share before it: a widget is one module, and imports nothing.

    Args:
        name: The script's name without its ending.
    """
    return f"{_text('shared')}\n{_text(name)}"


@cache
def devices_script() -> str:
    """Return `devices`, an object with the `render` of each device that is part of a problem, by the script's name."""
    parts = [_text(name).replace(_EXPORT, "return render;") for name in IN_PROBLEMS]
    rows = [f"{name}: (() => {{\n{part}\n}})()" for name, part in zip(IN_PROBLEMS, parts, strict=True)]
    return f"const devices = (() => {{\n{_text('shared')}\nreturn {{ {', '.join(rows)} }};\n}})();\n"


def _text(name: str) -> str:
    return files("calclib.widgets.devices").joinpath("front_end", f"{name}.js").read_text("utf-8")
