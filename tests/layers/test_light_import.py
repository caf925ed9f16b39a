"""Import stays light: a heavy library is loaded by the part that uses it, when it uses it."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = (
    "IPython",
    "anywidget",
    "fsrs",
    "ipywidgets",
    "matplotlib",
    "nbformat",
    "nbgrader",
    "numpy",
    "pint",
    "sqlalchemy",
    "sympy",
)

DRAW = """
from calclib.items import draw_item
from calclib.models import bank
draw_item(next(iter(bank().values())), "light")
"""

HELP = """
from calclib.cli import main
sys.argv = ["calclib", "--help"]
try:
    main()
except SystemExit as done:
    assert not done.code
"""


@pytest.mark.parametrize("code", ["import calclib", HELP, DRAW], ids=["import", "help", "draw"])
def test_heavy_libraries_are_not_loaded(code: str) -> None:
    """Importing calclib, `calclib --help` and drawing an item load none of the heavy libraries."""
    script = f"import sys\n{code}\nprint('loaded:', *sorted(set({HEAVY!r}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "loaded:"
