import datetime as dt
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from nbgrader.api import Gradebook
from sqlalchemy import func, select

from calclib.errors import CalclibError
from calclib.nbgrading import collect, mark, start_class
from calclib.records import class_folder, reading, sealed_paper
from calclib.records.sealed import pseudonyms
from calclib.records.tables import MARK
from tests.nbgrading.conftest import NOW
from tests.nbgrading.gradebook_rows import gradebook_rows
from tests.nbgrading.test_stock_autograde import autograde

pytestmark = [
    pytest.mark.service("postgresql"),
    pytest.mark.filterwarnings("ignore:Object of type:sqlalchemy.exc.SAWarning"),
]

SET = "week-3"
Make = Callable[[], str]
MakeClass = Callable[..., Path]


def answers(folder: Path, student: str) -> list[str]:
    """The right answers of one student, in order."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student])
        assert paper is not None
        return [part["answer"] for item in paper.items for part in item.record["parts"]]


def hand_in(folder: Path, incoming: Path, typed: dict[str, list[str]], day: int = 0) -> None:
    """Fill in the notebooks and collect them."""
    for student, texts in typed.items():
        notebook = json.loads(class_folder(folder).rendered(SET, student).read_text(encoding="utf-8"))
        for number, text in enumerate(texts, start=1):
            for cell in notebook["cells"]:
                if "".join(cell["source"]).startswith(f'answer_{number} = ""'):
                    cell["source"] = f'answer_{number} = "{text}"'
        path = incoming / student / f"{SET}.ipynb"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(notebook), encoding="utf-8")
        time = (NOW + dt.timedelta(days=day)).timestamp()
        os.utime(path, (time, time))
    collect(folder, SET, incoming, now=NOW + dt.timedelta(days=9))


def by_hand(folder: Path) -> None:
    """Give a score and a comment as a person does."""
    with Gradebook(class_folder(folder).gradebook_url, "dosage") as gradebook:
        gradebook.find_grade(f"{SET}-q1-drops-check", SET, SET, "ben").manual_score = 0.5
        gradebook.find_comment(f"{SET}-q1-drops-answer", SET, SET, "ben").manual_comment = "Nearly."
        gradebook.db.commit()


def test_the_same_marks_as_on_sqlite(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Row for row after handing out, the first marking, a score by hand and a re-marking, by us and by nbgrader."""
    plain, server = make_class("plain"), make_class("server", postgresql())
    assert not (server / "gradebook.db").exists()
    key = {student: answers(plain, student) for student in ("ann", "ben", "cat")}
    typed = {"ann": key["ann"], "ben": ["about a lot", "", *key["ben"][2:]], "cat": key["ann"]}
    again = {"ben": key["ben"], "cat": ["1 mL", *key["cat"][1:]]}
    for folder in (plain, server):
        hand_in(folder, tmp_path / f"{folder.parent.name}-in", typed)
        mark(folder, SET, now=NOW)
        by_hand(folder)
        hand_in(folder, tmp_path / f"{folder.parent.name}-again", again, day=1)
        mark(folder, SET, now=NOW)
    rows = gradebook_rows(class_folder(plain))
    assert len(rows["grade"]) == 27
    assert gradebook_rows(class_folder(server)) == rows
    assert autograde(server, force=True) == [True, True, True]
    assert gradebook_rows(class_folder(server)) == rows


def calclib(*words: str) -> "subprocess.Popen[str]":
    """Start a command as a person would."""
    command = [sys.executable, "-c", "from calclib.cli import main; main()", *words]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.mark.parametrize("server", [True, False], ids=["postgresql", "sqlite"])
def test_two_markers_at_once(postgresql: Make, make_class: MakeClass, tmp_path: Path, server: bool) -> None:
    """Both come to their end, nothing is there twice, and the marks are those of one marker."""
    folder = make_class("class", postgresql() if server else None)
    alone = make_class("alone")
    for place in (folder, alone):
        key = {student: answers(place, student) for student in ("ann", "ben", "cat")}
        hand_in(place, tmp_path / f"{place.parent.name}-in", key)
    mark(alone, SET, now=NOW)
    markers = [calclib("mark", str(folder), SET) for _ in range(2)]
    for one in markers:
        out, err = one.communicate(timeout=120)
        assert one.returncode == 0, out + err
    assert gradebook_rows(class_folder(folder)) == gradebook_rows(class_folder(alone))


OPEN = """
import sys
from pathlib import Path
from calclib.nbgrading.gradebook import open_gradebook, nbgrader_api
from calclib.records import class_folder
nbgrader_api()
print("ready", flush=True)
sys.stdin.readline()
with open_gradebook(class_folder(Path(sys.argv[1]))):
    pass
"""


@pytest.mark.parametrize("server", [True, False], ids=["postgresql", "sqlite"])
def test_the_first_opening_is_one_at_a_time(postgresql: Make, tmp_path: Path, server: bool) -> None:
    """Three that open an empty gradebook in the same moment all succeed, and its version is written once."""
    url = f'gradebook_url = "{postgresql()}"\n' if server else ""
    (tmp_path / "class.toml").write_text(f'course = "dosage"\n{url}', encoding="utf-8")
    command = [sys.executable, "-c", OPEN, str(tmp_path)]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    openers = [subprocess.Popen(command, text=True, **pipes) for _ in range(3)]
    for one in openers:
        assert one.stdout is not None
        assert one.stdout.readline() == "ready\n"
    with ThreadPoolExecutor(3) as pool:
        ended = list(pool.map(lambda one: one.communicate("go\n", timeout=60)[1], openers))
    assert [one.returncode for one in openers] == [0] * 3, ended
    rows = gradebook_rows(class_folder(tmp_path))
    assert (len(rows["alembic_version"]), len(rows["course"])) == (1, 1)


def test_nbgrader_can_change_its_own_tables(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Our tables don't stand in the way of `nbgrader db upgrade`, nor of removing a student there."""
    folder = make_class("class", postgresql())
    hand_in(folder, tmp_path / "in", {"ann": answers(folder, "ann")})
    mark(folder, SET, now=NOW)
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    command = [sys.executable, "-m", "nbgrader", "db", "upgrade"]
    done = subprocess.run(
        command, cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    with Gradebook(class_folder(folder).gradebook_url, "dosage") as gradebook:
        gradebook.remove_student("ann")
    with reading(class_folder(folder)) as connection:
        assert connection.execute(select(func.count()).select_from(MARK)).scalar() == 9


def test_a_database_that_is_away_is_one_sentence(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Also where it was never started, or where the address lacks its driver; and nothing is left half made."""
    url = postgresql()
    folder = make_class("class", url)
    wrong = folder / "class.toml"
    text = wrong.read_text(encoding="utf-8")
    for old, new in ((url.split("host=")[1], "/nowhere&port=1"), ("@/", "@/no"), ("+psycopg:", "+no:")):
        wrong.write_text(text.replace(old, new), encoding="utf-8")
        with pytest.raises(CalclibError) as caught:
            mark(folder, SET, now=NOW)
        assert "\n" not in str(caught.value)
    wrong.write_text(text.replace(url, postgresql()), encoding="utf-8")
    with pytest.raises(CalclibError, match="start the class first"), reading(class_folder(folder)) as connection:
        pseudonyms(connection)
    shutil.rmtree(tmp_path / "class" / "class")
    with pytest.raises(CalclibError):
        start_class(tmp_path / "other", tmp_path / "class" / "roster.csv", db_url=url.replace("@/", "@/no"))
    assert not (tmp_path / "other").exists()
