"""An exam notebook runs where only Python and `calclib.reading` with its words are, and says how answers are read."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.cli.main import calclib
from calclib.errors import BadInput
from calclib.releasing.exam_environment import write_exam_environment
from tests.hostile.hall import Hall, Notebook, answer_cell, own_cell

# Runs each check cell with the history that a notebook's kernel would have, and says what was imported.
PLAIN = """
import json, sys
sys.path.insert(0, sys.argv[1])
before = set(sys.modules)
notebook = json.load(sys.stdin)
In = []
for cell in notebook["cells"]:
    source = "".join(cell["source"])
    if "show_answer" in source:
        exec(source)
    elif cell["cell_type"] == "code":
        In.append(source)
tops = {name.partition(".")[0] for name in set(sys.modules) - before} - set(sys.stdlib_module_names)
print("imported", sorted(tops), sorted(name for name in sys.modules if name.count(".") == 1 and "calclib" in name))
"""
# A kernel that has the exam environment and what a kernel itself needs, and refuses the rest.
KERNEL = """
import sys
class Refused:
    def find_spec(self, name, path=None, target=None):
        top, _, rest = name.partition(".")
        if top == "calclib" and rest and rest.partition(".")[0] not in ("reading", "wording"):
            raise ModuleNotFoundError(f"{name} isn't here")
        if top in {"pint", "sympy", "matplotlib", "numpy", "nbgrader", "nbformat", "sqlalchemy", "ipywidgets"}:
            raise ModuleNotFoundError(f"{name} isn't here")
sys.meta_path.insert(0, Refused())
from ipykernel.kernelapp import launch_new_instance
launch_new_instance()
"""
CLIENT = """
import json, sys
import nbformat
from nbclient import NotebookClient
notebook = nbformat.read(sys.argv[1], 4)
NotebookClient(notebook, kernel_name="exam", timeout=120, allow_errors=True).execute()
nbformat.write(notebook, sys.argv[1])
"""


@pytest.fixture(scope="module")
def environment(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The exam environment as faculty make it, by the command, in an empty folder."""
    folder = tmp_path_factory.mktemp("exam")
    run = CliRunner().invoke(calclib, ["exam-machine", str(folder)])
    assert run.exit_code == 0, run.output
    assert f"PYTHONPATH={folder} jupyter lab" in run.output
    return folder


def run_plain(notebook: Notebook, environment: Path) -> list[str]:
    """What the check cells print in a Python without any package, and a last line that says what was imported."""
    command = [sys.executable, "-I", "-S", "-B", "-c", PLAIN, str(environment)]
    done = subprocess.run(command, input=json.dumps(notebook), capture_output=True, text=True, timeout=60, check=True)
    assert done.stderr == ""
    return without_costs(done.stdout)


def without_costs(printed: str) -> list[str]:
    """The lines that check cells print, without what can cost points, which is the same below each answer."""
    lines = printed.splitlines()
    return [line for line in lines if line != "What can cost points:" and not line.startswith("  ")]


def test_python_alone_is_enough(made_hall: Hall, environment: Path) -> None:
    """Each check cell of a handed-out notebook runs with the standard library, `reading` and `wording` alone."""
    *shown, imported = run_plain(made_hall.answered("eve", made_hall.key("eve")), environment)
    assert shown == [f"Read as {text.replace(' the next day', ' next day')}" for text in made_hall.key("eve").values()]
    assert imported == "imported ['calclib'] ['calclib.reading', 'calclib.wording']"


def test_a_check_cell_says_how_and_never_whether(made_hall: Hall, environment: Path) -> None:
    """Right and wrong answers are shown alike; unsafe notation is shown, a blank and what can't be read are said."""
    right = made_hall.answered("eve", {1: made_hall.key("eve")[1]})
    wrong = made_hall.answered("eve", {1: "7 gtt/min", 2: "90.0 mL", 3: ".5 mL/h", 4: "an hour or so", 5: "1415"})
    rate = made_hall.key("eve")[1]
    assert run_plain(right, environment)[:2] == [f"Read as {rate}", "No answer yet."]
    first, second, unsafe, third, unsafe_too, *rest, time, _ = run_plain(wrong, environment)
    assert (first, second, third) == ("Read as 7 gtt/min", "Read as 90 mL", "Read as 0.5 mL/h")
    assert unsafe.startswith("Unsafe notation: ") and unsafe_too.startswith("Unsafe notation: ")
    not_read, how = rest
    assert not_read.startswith("Not read: ") and how.startswith("Write one number with its unit")
    assert time == "Read as 1415"


def test_a_bare_environment_is_enough(made_hall: Hall, environment: Path, tmp_path: Path) -> None:
    """In a new virtual environment with no package, as the command says: an answer is read, the rest isn't there."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(tmp_path / "bare")], timeout=60, check=True)
    python = tmp_path / "bare" / ("Scripts" if os.name == "nt" else "bin") / "python"
    notebook = made_hall.answered("eve", {1: ".5 mL"})
    (check,) = [one for one in notebook["cells"] if one["id"].endswith("q1-drops-check")]
    cells = ["".join(one["source"]) for one in (answer_cell(notebook, 1), check)]
    (tmp_path / "cells.py").write_text(
        f"In = [{cells[0]!r}]\n{cells[0]}\n{cells[1]}\ntry:\n    import calclib.items\n"
        "except ModuleNotFoundError as error:\n    print(error)\n",
        encoding="utf-8",
    )
    env = {**os.environ, "PYTHONPATH": str(environment), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [str(python), str(tmp_path / "cells.py")], cwd=tmp_path, env=env, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("Read as 0.5 mL: another unit. The question asks for gtt/min.\nUnsafe notation: ")
    assert done.stdout.splitlines()[-1] == "No module named 'calclib.items'"


def test_a_kernel_runs_the_notebook_without_the_bank(made_hall: Hall, environment: Path, tmp_path: Path) -> None:
    """In a real kernel where item models can't be imported, every check cell shows how its answer is read."""
    notebook = made_hall.answered("eve", {1: "31.0 gtt/min"})
    notebook["cells"].append(own_cell("code", "import calclib.items"))
    notebook["cells"].append({**own_cell("code", "import calclib; print(calclib.__file__)"), "id": "where"})
    answer_cell(notebook, 2)["source"] = ["answer_2 = “50 mL”"]
    path = tmp_path / "exam.ipynb"
    path.write_text(json.dumps(notebook), encoding="utf-8")
    spec = tmp_path / "kernels" / "exam" / "kernel.json"
    spec.parent.mkdir(parents=True)
    argv = [sys.executable, "-c", KERNEL, "-f", "{connection_file}"]
    spec.write_text(json.dumps({"argv": argv, "display_name": "exam", "language": "python"}), encoding="utf-8")
    settings = {
        "PYTHONPATH": str(environment),
        "PYTHONDONTWRITEBYTECODE": "1",
        "JUPYTER_PATH": str(tmp_path),
        "PYDEVD_DISABLE_FILE_VALIDATION": "1",
    }
    # The notebook is run from elsewhere, so that no folder of this repository is on Python's path.
    subprocess.run(
        [sys.executable, "-c", CLIENT, str(path)],
        cwd=tmp_path,
        env={**os.environ, **settings},
        capture_output=True,
        timeout=180,
        check=True,
    )
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    printed = ["".join(one["outputs"][0].get("text", "")) for one in cells if one["id"].endswith("-check")]
    assert printed[0].startswith("Read as 31 gtt/min\nUnsafe notation: ")
    assert all("What can cost points:\n  a missing unit: " in one for one in printed)
    assert [without_costs(one) for one in printed[1:]] == [["Read as 50 mL"], *[["No answer yet."]] * 3]
    refused, where = cells[-2]["outputs"][0], cells[-1]["outputs"][0]
    assert (refused["ename"], refused["evalue"]) == ("ModuleNotFoundError", "calclib.items isn't here")
    assert Path("".join(where["text"]).strip()).is_relative_to(environment)


def test_the_environment_holds_no_item_model(environment: Path) -> None:
    """It is `calclib/__init__.py`, `calclib/reading` and `calclib/wording`, and a second writing changes nothing."""
    names = {path.relative_to(environment).parts[:2] for path in environment.rglob("*") if path.is_file()}
    assert names == {("calclib", "__init__.py"), ("calclib", "reading"), ("calclib", "wording")}
    before = {path: path.stat().st_mtime_ns for path in environment.rglob("*.py")}
    write_exam_environment(environment)
    assert {path: path.stat().st_mtime_ns for path in environment.rglob("*.py")} == before


def test_a_folder_with_something_else_is_refused(tmp_path: Path) -> None:
    """Nothing of a person's is written over."""
    (tmp_path / "thesis.txt").write_text("years of work", encoding="utf-8")
    with pytest.raises(BadInput, match="holds something else"):
        write_exam_environment(tmp_path)
