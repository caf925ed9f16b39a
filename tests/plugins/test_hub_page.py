"""What the page for the person who runs a hub says of JupyterLab."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import pytest

HUB = Path(__file__).parents[2] / "calclib" / "plugins" / "HUB.md"
STATIC = Path(sys.prefix) / "share" / "jupyter" / "labextensions" / "@jupyter" / "nbgrader" / "static"


def test_students_see_no_panel_of_a_teachers_and_an_instructor_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file that the page prints turns off plugins that nbgrader has, and an instructor's own file turns them on."""
    from jupyter_core import paths
    from jupyterlab_server.config import get_page_config

    (printed,) = re.findall(r"```json\n\s*(.+)\n", HUB.read_text("utf-8"))
    names = json.loads(printed)["disabledExtensions"]
    code = "".join(path.read_text("utf-8") for path in STATIC.glob("*.js"))
    assert len(names) == 3
    assert all(f'"{name}"' in code for name in names)
    assert "@jupyter/nbgrader:assignment-list" not in names
    hub, own = tmp_path / "hub", tmp_path / "own"
    for folder, config in ((hub, json.loads(printed)), (own, {"disabledExtensions": dict.fromkeys(names, False)})):
        (folder / "labconfig").mkdir(parents=True)
        (folder / "labconfig" / "page_config.json").write_text(json.dumps(config))
    monkeypatch.setattr(paths, "ENV_CONFIG_PATH", [str(hub)])
    monkeypatch.setenv("JUPYTER_PREFER_ENV_PATH", "0")  # as for whoever doesn't own the hub's environment
    monkeypatch.setenv("JUPYTER_CONFIG_DIR", str(tmp_path / "student"))
    assert set(get_page_config([])["disabledExtensions"]) == set(names)
    monkeypatch.setenv("JUPYTER_CONFIG_DIR", str(own))
    assert not set(get_page_config([]).get("disabledExtensions", ())) & set(names)
