"""What lessons and practice import is pure Python, so that they can run in a browser, where nothing is compiled."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from importlib.machinery import EXTENSION_SUFFIXES
from importlib.metadata import distribution

import pytest

from tests.layers.source_files import PACKAGE, SourceFile, imported_modules, source_files

IN_THE_KERNEL = {"ipython", "traitlets"}
"""What a Python in a browser brings itself, as a Python kernel does."""
PURE = {"anywidget", "fsrs", "ipywidgets", "pint"}
DRAWING = {"matplotlib"}
"""Drawn devices and infusions load it; nothing else that lessons import may."""
WITH_A_PURE_WHEEL = {"psygnal"}
"""Compiled where a wheel for the machine is published, and published as pure Python too."""


def by_name() -> dict[str, SourceFile]:
    """Every module of calclib by its name."""
    found = {}
    for file in source_files():
        *rooms, last = file.path.relative_to(PACKAGE).with_suffix("").parts
        found[".".join(("calclib", *rooms, *(() if last == "__init__" else (last,))))] = file
    return found


def reached_from(room: str) -> dict[str, set[str]]:
    """Foreign packages that a room's modules import, whenever they do, with the modules that import them."""
    modules = by_name()
    waiting = [name for name in modules if name == room or name.startswith(f"{room}.")]
    seen: set[str] = set()
    foreign: dict[str, set[str]] = {}
    while waiting:
        name = waiting.pop()
        if name in seen or name not in modules:
            continue
        seen.add(name)
        waiting += [name.rsplit(".", 1)[0]] if "." in name else []
        for _, module in imported_modules(modules[name]):
            package = module.split(".")[0]
            if package == "calclib":
                waiting.append(module)
            elif package not in sys.stdlib_module_names:
                foreign.setdefault(package.lower(), set()).add(name)
    return foreign


def needed_by(package: str, known: set[str]) -> Iterator[str]:
    """A package and what it needs without extras, each once."""
    if package in known | IN_THE_KERNEL:
        return
    known.add(package)
    yield package
    for line in distribution(package).requires or ():
        required, _, marker = line.partition(";")
        if "extra" not in marker and "python_version <" not in marker and "sys_platform" not in marker:
            name = re.match(r"[\w.-]+", required)
            assert name is not None
            yield from needed_by(name[0].lower(), known)


def test_lessons_reach_no_compiled_package() -> None:
    """Not when they are imported, and not in the lines that are imported later."""
    reached = reached_from("calclib.widgets")
    assert {name: where for name, where in reached.items() if name not in PURE | IN_THE_KERNEL | DRAWING} == {}
    assert set(reached) >= PURE | IN_THE_KERNEL, "a package that lessons need no more leaves the list"


def test_what_draws_is_loaded_by_drawing_alone() -> None:
    """So that a lesson without a drawing runs where nothing is compiled."""
    reached = reached_from("calclib.widgets")
    outside = {where for name in DRAWING & set(reached) for where in reached[name] if "plots" not in where.split(".")}
    assert outside == set()


@pytest.mark.parametrize("package", sorted(PURE))
def test_the_packages_that_they_reach_are_pure(package: str) -> None:
    """As they are installed here, with what they need."""
    compiled = {
        name
        for name in needed_by(package, set())
        for file in distribution(name).files or ()
        if file.name.endswith(tuple(EXTENSION_SUFFIXES))
    }
    assert compiled <= WITH_A_PURE_WHEEL


@pytest.mark.parametrize(
    ("room", "package"), [("calclib.records", "orjson"), ("calclib.pages", "jinja2"), ("calclib.gradebook", "nbgrader")]
)
def test_what_is_reached_is_seen(room: str, package: str) -> None:
    """The test above finds what other rooms import, also inside of functions."""
    assert package in reached_from(room)
