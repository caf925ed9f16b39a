"""The desk: pages on which faculty see a class and rule, served by a Jupyter server."""

from __future__ import annotations

from typing import Any


def _jupyter_server_extension_points() -> list[dict[str, Any]]:
    """Return what a Jupyter server loads when the extension `calclib.desk` is on."""
    from calclib.desk.extension import CalclibDesk

    return [{"module": "calclib.desk", "app": CalclibDesk}]
