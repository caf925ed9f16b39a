"""Papers whose code would do harm if anything ran it: in an extra cell, in an answer cell, in the check cells."""

from __future__ import annotations

import json
from collections.abc import Callable

from tests.hostile.hall import Hall, Notebook, answer_cell, check_cells, own_cell
from tests.hostile.kinds import Kinds

CODE = Kinds()
Code = Callable[[Hall], str]


def _planted(source: str) -> Callable[[Notebook], None]:
    def change(notebook: Notebook) -> None:
        notebook["cells"].insert(0, own_cell("code", source))
        line = f"answer_2 = exec({source!r})"
        answer_cell(notebook, 2)["source"] = [line]
        for cell in check_cells(notebook):
            cell["source"] = source

    return change


def _code(kind: Code) -> Code:
    def plant(hall: Hall) -> None:
        hall.eve(_planted(kind(hall)))

    plant.__name__ = kind.__name__
    CODE.add(points=1, says="code is not run")(plant)
    return kind


@_code
def patched_checker(_hall: Hall) -> str:
    """Make everything that judges say full marks."""
    return (
        "import calclib.answers, calclib.reading, nbgrader.utils\n"
        "calclib.reading.show_answer = lambda *a, **k: 100.0\n"
        "calclib.answers.judge_item = nbgrader.utils.determine_grade = lambda *a, **k: (100.0, 100.0)"
    )


@_code
def input_transformer(_hall: Hall) -> str:
    """Change every cell that is run later."""
    return "get_ipython().input_transformers_post.append(lambda lines: ['100.0'])"


@_code
def reading_the_solutions(_hall: Hall) -> str:
    """Answer with what stands in the solutions."""
    return "answer_1 = open('../../../solutions/week-3/week-3.ipynb').read(); print(answer_1)"


@_code
def sql_into_the_gradebook(hall: Hall) -> str:
    """Give everybody but oneself nothing."""
    sql = "update grade set auto_score = 0, manual_score = 100"
    path = str(hall.folder / "gradebook.db")
    return f"import sqlite3; c = sqlite3.connect({path!r}); c.execute({sql!r}); c.commit()"


@_code
def writing_outside(hall: Hall) -> str:
    """Leave a file in the home and in the folders around."""
    names = [str(hall.root / name / "planted") for name in ("home", "cwd", "outside", "class")]
    return f"[open(name, 'w').write('x') for name in {json.dumps(names)}]"


@_code
def deleting_the_class(hall: Hall) -> str:
    """Take the class folder away."""
    return f"import shutil; shutil.rmtree({str(hall.folder)!r})"


@_code
def leaving(_hall: Hall) -> str:
    """End the program that marks."""
    return "import os, sys\nos.kill(os.getpid(), 9)\nos._exit(0)\nsys.exit()"


@_code
def endless_loop(_hall: Hall) -> str:
    """Never come to an end."""
    return "while True:\n    pass"


@_code
def endless_memory(_hall: Hall) -> str:
    """Fill the memory and the table of processes."""
    return "import os\nx = 'x' * 10**12\nwhile True:\n    os.fork()"


@_code
def shell_and_magic(hall: Hall) -> str:
    """Use the notebook's own ways to other programs."""
    planted = hall.outside / "planted"
    return f"!touch {planted}\n%%bash\ntouch {planted}\n%run -i {planted}"


@_code
def hooks_at_import(hall: Hall) -> str:
    """Change what later programs of the same user start with."""
    return f"open({str(hall.root / 'home' / 'sitecustomize.py')!r}, 'w').write('raise SystemExit')"
