"""Names that configuration files and practice notebooks of one version before hold still work, and say the new name."""

from __future__ import annotations

import sys
from importlib import import_module

import pytest

import calclib.nbgrading


@pytest.mark.parametrize(
    ("module", "name"),
    [
        ("stock_exchange", "PrivateFetch"),
        ("stock_exchange", "CheckedCollect"),
        ("stock_exchange", "ReleasePages"),
        ("stock_autograde", "SealedExporter"),
        ("stock_autograde", "expect_notebook"),
    ],
)
def test_old_names_in_configuration_files(module: str, name: str) -> None:
    """A name in an older nbgrader_config.py leads to what the new one leads to, with a sentence that says which."""
    sys.modules.pop(f"calclib.nbgrading.{module}", None)
    with pytest.warns(FutureWarning, match=rf"calclib\.plugins\.{module} now: change the name in nbgrader_config\.py"):
        old = import_module(f"calclib.nbgrading.{module}")
    assert getattr(old, name) is getattr(import_module(f"calclib.plugins.{module}"), name)


@pytest.mark.parametrize(
    ("name", "room"),
    [("practice_points", "plugins"), ("collect", "collecting"), ("mark", "judging_papers"), ("hand_out", "releasing")],
)
def test_old_names_of_functions(name: str, room: str) -> None:
    """The hidden tests of practice notebooks that were released before still find their function."""
    with pytest.warns(FutureWarning, match=rf"is calclib\.{room}\.{name} now"):
        old = getattr(calclib.nbgrading, name)
    assert old is getattr(import_module(f"calclib.{room}"), name)
