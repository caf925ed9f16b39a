"""What is not Python travels with the package, and its references hold."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib import resources
from pathlib import PurePosixPath
from typing import Any

from calclib.errors import CalclibError
from calclib.sources import source
from tests.layers.source_files import PACKAGE, REPOSITORY

DATA_SUFFIXES = {".css", ".html", ".js", ".toml"}


def test_every_data_file_is_packaged() -> None:
    """Every file of the package that is not Python matches a pattern of package-data, so that a wheel holds it."""
    settings = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))
    patterns = settings["tool"]["setuptools"]["package-data"]["calclib"]
    packaged = {path for pattern in patterns for path in PACKAGE.glob(pattern)}
    files = {
        path
        for path in PACKAGE.rglob("*")
        if path.is_file() and path.suffix != ".py" and "__pycache__" not in path.parts
    }
    assert sorted(files - packaged) == []


def test_data_is_read_as_a_resource() -> None:
    """The installed package finds its data by importlib.resources, wherever it lies."""
    root = resources.files("calclib")
    for path in sorted(PACKAGE.rglob("*")):
        if path.suffix in DATA_SUFFIXES:
            inside = PurePosixPath(path.relative_to(PACKAGE).as_posix())
            assert root.joinpath(*inside.parts).is_file(), inside


def test_every_source_named_in_data_exists() -> None:
    """A TOML file of the package cites only keys of sources.toml."""
    missing = [
        f"{path.relative_to(REPOSITORY)} cites {key!r}"
        for path in sorted(PACKAGE.rglob("*.toml"))
        if path.parent != PACKAGE / "sources"
        for key in _cited(tomllib.loads(path.read_text("utf-8")))
        if not _is_source(key)
    ]
    assert missing == []


def _is_source(key: str) -> bool:
    try:
        return source(key).key == key
    except (CalclibError, KeyError):
        return False


def _cited(value: Any, *, under_source: bool = False) -> Iterator[str]:
    """Every string that stands under a key named `source` or `sources`, at any depth."""
    if isinstance(value, str):
        if under_source:
            yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _cited(inner, under_source=under_source or key in {"source", "sources"})
    elif isinstance(value, list):
        for inner in value:
            yield from _cited(inner, under_source=under_source)
