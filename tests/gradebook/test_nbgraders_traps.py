import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from nbgrader.api import Gradebook
from sqlalchemy import select, text

from calclib.class_files import class_folder
from calclib.gradebook.opening import gradebook_transaction
from calclib.judging_papers import mark
from calclib.records import reading
from calclib.releasing import hand_out, start_class
from tests.plugins.test_stock_autograde import formgrader
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

# nbgrader's own session warns of objects that it adds later.
pytestmark = pytest.mark.filterwarnings("ignore:Object of type:sqlalchemy.exc.SAWarning")

SET = "week-3"
HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]


def python(code: str, *, cwd: Path | None = None, path: str | None = None) -> subprocess.CompletedProcess[str]:
    """Run code in a Python of its own."""
    env = os.environ if path is None else {**os.environ, "PATH": path}
    return subprocess.run([sys.executable, "-c", code], cwd=cwd, env=env, capture_output=True, text=True, timeout=120)


def test_a_class_is_started_without_an_activated_environment(tmp_path: Path) -> None:
    """nbgrader asks a program of that name for the version of a new gradebook; ours is right without it on PATH."""
    from nbgrader.api import get_alembic_version

    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    empty = tmp_path / "empty"
    empty.mkdir()
    code = "from pathlib import Path\nfrom calclib.releasing import start_class\n"
    code += "start_class(Path('class'), Path('roster.csv'))"
    done = python(code, cwd=tmp_path, path=str(empty))
    assert done.returncode == 0, done.stderr
    with reading(class_folder(tmp_path / "class")) as connection:
        (version,) = connection.execute(select(text("version_num")).select_from(text("alembic_version"))).scalars()
    before = os.environ["PATH"]
    os.environ["PATH"] = os.pathsep.join([str(Path(sys.executable).parent), before])
    try:
        assert version == get_alembic_version()
    finally:
        os.environ["PATH"] = before


def test_nbgrader_is_imported_where_it_is_needed_and_in_less_time() -> None:
    """Commands that touch no gradebook don't import it; those that do leave out a grammar that takes half the time."""
    done = python(
        "import sys, calclib.cli.commands.marking, calclib.judging_papers, calclib.releasing, calclib.pages\n"
        "assert not [name for name in sys.modules if name.split('.')[0] in ('nbgrader', 'nbconvert', 'nbformat')]\n"
        "from calclib.gradebook.opening import nbgrader_api\n"
        "nbgrader_api()\n"
        "assert 'nbgrader.api' in sys.modules\n"
        "assert not [name for name in sys.modules if name.startswith(('rfc3987', 'lark'))]\n"
    )
    assert done.returncode == 0, done.stderr


def test_sets_belong_to_the_course_of_the_class(tmp_path: Path) -> None:
    """No `default_course` comes of what we do; one that nbgrader makes beside ours changes nothing."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (tmp_path / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv", course="nurs-210")
    where = class_folder(tmp_path / "class")

    def courses() -> list[str]:
        with reading(where) as connection:
            return list(connection.execute(text("SELECT id FROM course ORDER BY id")).scalars())

    assert courses() == ["nurs-210"]
    with Gradebook(where.gradebook_url):
        pass
    assert courses() == ["default_course", "nurs-210"]
    hand_out(tmp_path / "class", tmp_path / "week-3.toml", now=NOW)
    mark(tmp_path / "class", SET, now=NOW)
    with gradebook_transaction(where) as connection:
        assert connection.execute(text("SELECT course_id FROM assignment")).scalars().all() == ["nurs-210"]


def test_files_beside_a_template_reach_no_page(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """nbgrader copies what lies in `solutions/SET` and what was handed in; of ours only the receipts go further."""
    path = hand_in("ann", keys["ann"])
    (path.parent / "timestamp.txt").write_text("2026-11-26 08:00:00.000000 UTC")
    (path.parent / "data.csv").write_text("x")
    mark(folder, SET, now=NOW)
    assert {p.name for p in class_folder(folder).autograded(SET, "ann").parent.iterdir()} == {
        f"{SET}.ipynb",
        "timestamp.txt",
    }
    assert {p.name for p in class_folder(folder).template(SET).parent.iterdir()} == {f"{SET}.ipynb"}


def test_the_configuration_holds_wherever_it_is_read_from(
    folder: Path, tmp_path: Path, hand_in: HandIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From another folder, and after the class folder was moved, nbgrader finds this gradebook and makes no other."""
    hand_in("ann", {})
    moved = Path(shutil.move(folder, tmp_path / "moved"))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    assert formgrader(moved).autograde(SET, "ann", force=True, create=False)["success"]
    assert list(elsewhere.iterdir()) == []
    with Gradebook(class_folder(moved).gradebook_url, "dosage") as gradebook:
        assert gradebook.find_submission(SET, "ann").score == 0
