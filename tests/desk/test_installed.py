"""The desk comes with the wheel: its pages, and the file by which every Jupyter server finds the extension."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from calclib.desk import _jupyter_server_extension_points

REPOSITORY = Path(__file__).resolve().parents[2]


@pytest.mark.full
def test_the_wheel_turns_the_extension_on(tmp_path: Path) -> None:
    """The configuration is installed below etc/jupyter, where Jupyter looks for it, and all pages come with it."""
    source = tmp_path / "source"
    leave = shutil.ignore_patterns(".git", ".venv", "tests", "course", "build", "*.egg-info", "__pycache__")
    shutil.copytree(REPOSITORY, source, ignore=leave)
    build = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(tmp_path)]
    done = subprocess.run([*build, str(source)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        place = "/data/etc/jupyter/jupyter_server_config.d/calclib-desk.json"
        (data,) = (name for name in names if name.endswith(place))
        turned_on = json.loads(archive.read(data))["ServerApp"]["jpserver_extensions"]
    assert turned_on == {"calclib.desk": True}
    assert [point["module"] for point in _jupyter_server_extension_points()] == [*turned_on]
    for page in (REPOSITORY / "calclib" / "desk" / "templates").iterdir():
        assert f"calclib/desk/templates/{page.name}" in names
