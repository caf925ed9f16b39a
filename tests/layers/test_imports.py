"""Layers, front doors, and one folder for each foreign tool."""

from __future__ import annotations

import ast
import json
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.layers.source_files import REPOSITORY, imported_modules, source_files

# The folders that may import a foreign tool. A tool that is not named here is free to use anywhere.
HOMES = {
    "IPython": {"widgets"},
    "alembic": {"gradebook", "records"},
    "anywidget": {"widgets"},
    "click": {"cli"},
    "dask": {"cli"},
    "distributed": {"cli"},
    "fsrs": {"memory"},
    "ipywidgets": {"widgets"},
    "jupyter_server": {"desk"},
    "matplotlib": {"plots"},
    "mistune": {"pages"},
    "nbclient": set(),  # nothing in the package runs a notebook
    "nbconvert": {"plugins"},
    "nbformat": set(),
    "nbgrader": {"gradebook", "plugins"},
    "numpy": {"plots"},  # the core stays pure Python, so that it runs in a browser
    "orjson": {"records"},
    "pint": {"quantity"},
    "scipy": set(),
    "sqlalchemy": {"gradebook", "judging_papers", "plugins", "records", "releasing", "remediation"},
    "sympy": {"chains"},
    "tornado": {"desk"},
    "traitlets": {"desk", "gradebook", "plugins", "widgets"},
}


def test_folders_are_layers() -> None:
    """A folder imports only folders below it, and every folder has its place in the order."""
    program = shutil.which("lint-imports", path=str(Path(sys.executable).parent)) or "lint-imports"
    done = subprocess.run([program, "--no-cache"], cwd=REPOSITORY, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_insiders_never_use_their_own_front_door() -> None:
    """Code inside a folder imports its neighbors' leaf files, never the folder's own `__init__`."""
    doors = {file.folder: _names_of_folder(file.folder) for file in source_files() if file.folder}
    wrong = []
    for file in source_files():
        if not file.folder or file.path.name == "__init__.py":
            continue
        own = f"calclib.{file.folder}"
        for node, module in imported_modules(file):
            through_door = module == own and not _only_leaves(node, doors[file.folder])
            if through_door:
                wrong.append(file.at(node))
    assert sorted(set(wrong)) == []


def _names_of_folder(folder: str) -> set[str]:
    return {file.path.stem for file in source_files() if file.folder == folder} | {
        file.path.parent.name for file in source_files() if file.folder == folder
    }


def _only_leaves(node: object, leaves: set[str]) -> bool:
    names = [alias.name for alias in getattr(node, "names", [])]
    return hasattr(node, "module") and all(name in leaves for name in names)


def test_notebooks_use_front_doors() -> None:
    """A notebook imports `calclib` or `calclib.folder`, whose names are promised, not the files behind them."""
    wrong = []
    for path in sorted(
        p for folder in ("course", "exercises", "solutions") for p in (REPOSITORY / folder).rglob("*.ipynb")
    ):
        for cell in json.loads(path.read_text("utf-8"))["cells"]:
            if cell["cell_type"] == "code":
                modules = re.findall(r"^\s*(?:from|import)\s+(calclib[\w.]*)", "".join(cell["source"]), re.MULTILINE)
                wrong += [f"{path.name} imports {module}" for module in modules if module.count(".") > 1]
    assert wrong == []


@pytest.mark.parametrize("tool", sorted(HOMES))
def test_foreign_tool_stays_in_its_folder(tool: str) -> None:
    """A foreign tool is imported only in the folder that wraps it."""
    wrong = [
        f"{file.at(node)} imports {tool}"
        for file in source_files()
        for node, module in imported_modules(file)
        if module.split(".")[0] == tool and file.folder not in HOMES[tool]
    ]
    assert sorted(set(wrong)) == []


# Tables and columns of nbgrader's that no table of ours has.
NBGRADERS = {
    "auto_score",
    "base_cell",
    "grade_cell",
    "late_submission_penalty",
    "manual_score",
    "needs_manual_grade",
    "submitted_assignment",
    "submitted_notebook",
}


def test_nbgraders_tables_are_known_in_one_folder() -> None:
    """Only `gradebook` names a table or column of nbgrader's, as a text or as an attribute."""
    found: dict[str, list[str]] = {}
    for file in source_files():
        for node in ast.walk(file.tree):
            name = node.value if isinstance(node, ast.Constant) else getattr(node, "attr", None)
            if isinstance(name, str) and name in NBGRADERS:
                found.setdefault(file.folder, []).append(file.at(node))
    assert found.pop("gradebook")
    assert found == {}


def test_every_foreign_import_is_declared() -> None:
    """What the package imports is among its dependencies, not there by the grace of another package or of the tests."""
    settings = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))
    extras = settings["project"]["optional-dependencies"]
    # What an extra brings is imported only where a sentence says how to install it.
    lines = settings["project"]["dependencies"] + [one for name in extras if name != "test" for one in extras[name]]
    declared = {re.match(r"[\w-]+", line)[0].lower() for line in lines}
    foreign = {
        module.split(".")[0]
        for file in source_files()
        for _, module in imported_modules(file)
        if module.split(".")[0] not in sys.stdlib_module_names | {"calclib"}
    }
    assert sorted(name for name in foreign if name.lower() not in declared) == []
