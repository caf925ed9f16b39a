"""What a run of the tests leaves out, it counts."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.layers.source_files import REPOSITORY

TESTS = """
import pytest

def test_python(): pass

@pytest.mark.service("nothing")
def test_service(): raise AssertionError("no such service")

@pytest.mark.full
def test_full(): pass
"""


@pytest.fixture
def project(tmp_path: Path) -> str:
    """A small project with one test of each tier, under our conftest."""
    (tmp_path / "tests").mkdir()
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers =\n    service(name)\n    full\n", "utf-8")
    shutil.copy(REPOSITORY / "tests" / "conftest.py", tmp_path / "tests")
    (tmp_path / "tests" / "test_tiers.py").write_text(TESTS, "utf-8")
    return str(tmp_path)


def output(folder: str, *options: str, **environment: str) -> str:
    """What pytest prints there."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("CALCLIB", "PYTEST"))}
    kept["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # other plugins cost seconds here and change nothing
    command = [sys.executable, "-m", "pytest", "-p", "xdist", "-p", "no:cacheprovider", *options]
    return subprocess.run(command, cwd=folder, env=kept | environment, capture_output=True, text=True).stdout


@pytest.mark.parametrize("options", [(), ("-n", "2")], ids=["one process", "two workers"])
def test_left_out_tests_are_counted(project: str, options: tuple[str, ...]) -> None:
    """Service tests and longer proofs are left out by default, and the last lines say how many."""
    said = output(project, *options)
    assert "Left out: 1 service tests" in said
    assert "Left out: 1 longer proofs" in said
    assert "1 passed" in said.splitlines()[-1]


def test_switches_bring_in_the_rest(project: str) -> None:
    """With both switches nothing is left out, and a service that is not there is a failure, not a skip."""
    said = output(project, "--full", CALCLIB_SERVICES="required")
    assert "none was left out" in said
    assert "Left out" not in said
    assert "1 failed, 2 passed" in said.splitlines()[-1]
