"""Our tables have a version: older ones are brought up after a copy, wholly or not at all, and newer ones refused."""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine

import calclib.records.schema
from calclib.errors import BadInput
from calclib.records.schema import NEWEST
from calclib.records.tables import METADATA
from calclib.releasing import start_class
from tests.records.schema.older_folders import NAMES, OlderFolder, done, run, unpack
from tests.small_class.started import ROSTER


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> OlderFolder:
    """The folder of 0.1.0, as it was made."""
    return unpack("by_0_1_0", tmp_path_factory.mktemp("packed"))


@pytest.fixture
def older(packed: OlderFolder, tmp_path: Path) -> OlderFolder:
    """A copy of it."""
    folder = Path(shutil.copytree(packed.folder, tmp_path / "class"))
    return OlderFolder(packed.name, folder, packed.prints)


def rows(database: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    with closing(sqlite3.connect(database)) as connection:
        names = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        asked = {name: connection.execute(f'SELECT * FROM "{name}"') for name in names}  # noqa: S608
        return {name: sorted(map(tuple, found), key=repr) for name, found in asked.items()}


def version(database: Path) -> list[tuple[object, ...]]:
    """What the table of the version holds; nothing where there is none."""
    return rows(database).get("calclib_schema_version", [])


def opened(folder: Path) -> Engine:
    """The gradebook of a folder."""
    return create_engine(f"sqlite:///{folder / 'gradebook.db'}")


def start(place: Path) -> Path:
    """A class without any set."""
    (place / "roster.csv").write_text(ROSTER, encoding="utf-8")
    start_class(place / "class", place / "roster.csv")
    return place / "class"


def differences(folder: Path) -> list[object]:
    """In what our tables differ from those that the program knows."""
    engine = opened(folder)
    ours = {"include_name": lambda name, kind, _: kind != "table" or name in METADATA.tables}
    with engine.connect() as connection:
        found = compare_metadata(MigrationContext.configure(connection, opts=ours), METADATA)
    engine.dispose()
    return found


@pytest.mark.parametrize("name", NAMES)
def test_older_tables_become_those_of_today(name: str, tmp_path: Path) -> None:
    """Column for column what a new class gets, under the same version."""
    folder = unpack(name, tmp_path).folder
    done("review", folder, "w1")
    assert version(folder / "gradebook.db") == [(str(NEWEST),)]
    assert differences(folder) == []


def test_a_new_class_has_the_newest_version(tmp_path: Path) -> None:
    """Nothing is brought up, so nothing is copied."""
    folder = start(tmp_path)
    assert version(folder / "gradebook.db") == [(str(NEWEST),)]
    assert differences(folder) == []
    assert not (folder / "gradebook-copies").exists()


def test_every_version_has_its_script() -> None:
    """The scripts are numbered from 1 without a gap, and the last makes what the program knows."""
    scripts = ScriptDirectory(str(Path(calclib.records.schema.__file__).parent))
    assert [one.revision for one in scripts.walk_revisions()] == [str(n) for n in range(NEWEST, 0, -1)]


def test_a_copy_is_made_before(older: OlderFolder) -> None:
    """It holds every row, nbgrader's too, and nobody else can read it."""
    before = rows(older.folder / "gradebook.db")
    done("review", older.folder, "w1")
    copy = older.folder / "gradebook-copies" / "tables-0.db"
    assert rows(copy) == before
    assert "student" in before
    assert (copy.stat().st_mode & 0o777, copy.parent.stat().st_mode & 0o777) == (0o600, 0o700)
    done("mark", older.folder, "w1", "--yes")
    assert [path.name for path in copy.parent.iterdir()] == ["tables-0.db"]


def test_the_copy_is_a_gradebook(older: OlderFolder) -> None:
    """Whoever puts it back has the class as it was, and the same happens to it again."""
    folder = older.folder
    done("review", folder, "w1")
    shutil.move(folder / "gradebook-copies" / "tables-0.db", folder / "gradebook.db")
    assert version(folder / "gradebook.db") == []
    assert done("review", folder, "w1") == older.printed("w1-review").replace("keyed anew", "re-keyed")


COMMANDS = (
    ("review", "w1"),
    ("history", "w1"),
    ("explain", "w1", "ann"),
    ("mark", "w1", "--yes"),
    ("report", "w1"),
    ("again", "w1", "--student", "ben"),
    ("rule", "w1", "--problem", "7", "--void", "--reason", "Later.", "--yes"),
    ("erase", "ben", "--yes"),
    ("hand-out", "blueprints/w1.toml"),
)


@pytest.fixture(scope="module")
def newer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class folder whose tables are of a version to come."""
    folder = unpack("by_0_1_0", tmp_path_factory.mktemp("newer")).folder
    done("review", folder, "w1")
    with closing(sqlite3.connect(folder / "gradebook.db")) as connection, connection:
        connection.execute("UPDATE calclib_schema_version SET version_num = '99'")
    return folder


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_newer_gradebook_is_refused(newer: Path, words: tuple[str, ...]) -> None:
    """In one sentence that says what to do; no file and no row changes."""
    folder = newer
    command, *rest = (str(folder / word) if word.endswith(".toml") else word for word in words)
    before = contents(folder)
    found = run(command, folder, *rest)
    assert isinstance(found.exception, BadInput)
    assert "version 99" in str(found.exception)
    assert "install the newer version" in str(found.exception)
    assert contents(folder) == before


def contents(folder: Path) -> dict[str, str]:
    """A hash of each file, but for the empty one that is locked."""
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != ".gradebook-lock")
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


# Ends itself at the nth statement of those that change tables or rows.
KILLED = """
import os, sys
from sqlalchemy import Engine, event
from calclib.cli import main
left = int(sys.argv.pop(1))

@event.listens_for(Engine, "before_cursor_execute")
def count(connection, cursor, statement, *others):
    global left
    left -= statement.split()[0] in ("ALTER", "CREATE", "INSERT", "UPDATE", "DELETE")
    if left == 0:
        os._exit(9)

main()
"""


def killed_at(folder: Path, statement: int) -> int:
    """Review a set in a process that ends at a statement, and return its exit code."""
    command = [sys.executable, "-c", KILLED, str(statement), "review", str(folder), "w1"]
    return subprocess.run(command, capture_output=True, timeout=120).returncode


def test_a_run_that_is_killed_leaves_the_older_gradebook(older: OlderFolder) -> None:
    """Wherever it ends; the next run brings the gradebook up as if there had been no other."""
    folder, ended = older.folder, 0
    before = rows(folder / "gradebook.db")
    for statement in statements():
        if killed_at(folder, statement) != 9:
            break
        ended += 1
        assert rows(folder / "gradebook.db") == before, statement
    assert ended >= 4
    done("review", folder, "w1")
    assert done("review", folder, "w1") == older.printed("w1-review").replace("keyed anew", "re-keyed")
    assert version(folder / "gradebook.db") == [(str(NEWEST),)]


def statements() -> Iterator[int]:
    """Ever larger numbers: the first few, and fewer of those that follow."""
    yield from (1, 2, 3, 5)
    n = 8
    while True:
        yield n
        n *= 2


def test_two_that_open_an_older_gradebook_at_once(older: OlderFolder) -> None:
    """Both come to their end, and each tells what it tells alone."""
    command = [sys.executable, "-m", "calclib", "review", str(older.folder), "w1"]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    said = [one.communicate(timeout=120) for one in both]
    wanted = older.printed("w1-review").replace("keyed anew", "re-keyed")
    assert said == [(wanted, ""), (wanted, "")]


def test_erasing_a_student_removes_the_copies(older: OlderFolder) -> None:
    """They hold the student, and nobody may be left in them."""
    done("review", older.folder, "w1")
    said = done("erase", older.folder, "fay", "--yes")
    assert "Older copies of the gradebook removed: tables-0.db." in said
    assert not (older.folder / "gradebook-copies").exists()
    assert b"Fay Fir" not in b"".join(path.read_bytes() for path in older.folder.rglob("*") if path.is_file())


def test_each_paper_tells_which_version_drew_it(older: OlderFolder) -> None:
    """Those of an older class that version, and one that is drawn today the present one."""
    done("again", older.folder, "w1", "--student", "ben")
    with closing(sqlite3.connect(older.folder / "gradebook.db")) as connection:
        found = connection.execute("SELECT attempt, library, count(*) FROM calclib_paper GROUP BY 1, 2").fetchall()
    assert found == [(1, "0.1.0", 24), (2, "0.1.0", 2), (2, "0.2.0", 1)]
