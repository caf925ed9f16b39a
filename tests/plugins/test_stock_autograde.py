import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from nbgrader.api import Gradebook

from calclib.class_files import class_folder
from calclib.judging_papers import mark
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import NOW

# nbgrader's own session warns of objects that it adds later.
pytestmark = pytest.mark.filterwarnings("ignore:Object of type:sqlalchemy.exc.SAWarning")

SET = "week-3"
HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]


@pytest.fixture
def twin(folder: Path, tmp_path: Path) -> Path:
    """A second copy of the class, for nbgrader's own command; ids that both begin with are the same."""
    return Path(shutil.copytree(folder, tmp_path / "twin"))


def formgrader(folder: Path) -> Any:
    """What the formgrader calls: nbgrader's own code with the class folder's configuration."""
    from nbgrader.apps import NbGraderAPI
    from traitlets.config.loader import PyFileConfigLoader

    config = PyFileConfigLoader("nbgrader_config.py", path=str(folder)).load_config()
    config.CourseDirectory.root = str(folder)
    return NbGraderAPI(config=config)


def autograde(folder: Path, *, force: bool = False, students: tuple[str, ...] = ("ann", "ben", "cat")) -> list[bool]:
    """Mark as the formgrader does, a student at a time."""
    api = formgrader(folder)
    there = [one for one in students if (folder / "submissions" / one / SET).is_dir()]
    return [bool(api.autograde(SET, one, force=force, create=False)["success"]) for one in there]


def hand_over(folder: Path, twin: Path, times: Mapping[str, str]) -> None:
    """Give the twin the same submissions, with a time for each."""
    for student, time in times.items():
        (folder / "submissions" / student / SET / "timestamp.txt").write_text(f"{time}\n", encoding="utf-8")
    shutil.copytree(folder / "submissions", twin / "submissions", dirs_exist_ok=True, symlinks=True)


def both(folder: Path, twin: Path, *, force: bool = False) -> list[bool]:
    """Mark in both ways, and hold that the gradebooks are the same."""
    mark(folder, SET, now=NOW)
    done = autograde(twin, force=force)
    assert gradebook_rows(class_folder(twin)) == gradebook_rows(class_folder(folder))
    return done


def by_hand(folder: Path, student: str, cell: str, score: float, said: str) -> None:
    """Give a score and a comment as a person does in the formgrader."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        grade = gradebook.find_grade(f"{SET}-{cell}-check", SET, SET, student)
        grade.manual_score, grade.needs_manual_grade = score, False
        gradebook.find_comment(f"{SET}-{cell}-answer", SET, SET, student).manual_comment = said
        gradebook.db.commit()


def test_stock_and_ours_leave_the_same_gradebook(folder: Path, twin: Path, hand_in: HandIn, keys: Keys) -> None:
    """Row for row: first marking, changed answers, a score by hand, handed in later, by force, and nothing new.

    Ids and the time of marking apart.
    """
    day = dict.fromkeys(keys, "2026-11-26 08:00:00.000000 UTC")
    hand_in("ann", keys["ann"])
    hand_in("ben", keys["ben"] | {"answer_1": "about a lot", "answer_2": ""})
    hand_in("cat", keys["ann"], of="ann")
    hand_over(folder, twin, day)
    assert both(folder, twin) == [True, True, True]

    for place in (folder, twin):
        by_hand(place, "ben", "q1-drops", 0.5, "Nearly.")
    hand_in("ann", keys["ann"] | {"answer_3": "1 mL"})
    hand_in("ben", keys["ben"])
    hand_over(folder, twin, day | {"ann": "2026-11-27 09:00:00.000000 UTC", "ben": "2026-11-27 10:00:00.000000 UTC"})
    both(folder, twin)
    with Gradebook(class_folder(twin).gradebook_url) as gradebook:
        grade = gradebook.find_grade(f"{SET}-q1-drops-check", SET, SET, "ben")
        assert (grade.manual_score, grade.auto_score, grade.needs_manual_grade) == (0.5, 1.0, True)

    hand_in("cat", keys["cat"])
    hand_over(folder, twin, day)
    both(folder, twin, force=True)
    both(folder, twin)


def rename(path: Path) -> None:
    """Give the notebook another name."""
    path.rename(path.with_name("my answers.ipynb"))


def two_others(path: Path) -> None:
    """Hand in two notebooks, none of them with the set's name."""
    shutil.copy(path, path.with_name("a.ipynb"))
    path.rename(path.with_name("b.ipynb"))


def one_more(path: Path) -> None:
    """Hand in a notebook of one's own beside it."""
    path.with_name("notes.ipynb").write_text("{", encoding="utf-8")


def twice_the_same_id(path: Path) -> None:
    """Let all cells have one id, which stops nbgrader."""
    notebook = json.loads(path.read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        cell["id"] = "x"
        cell["metadata"]["nbgrader"]["grade_id"] = "x"
    path.write_text(json.dumps(notebook), encoding="utf-8")


def old_schema(path: Path) -> None:
    """Write nbgrader metadata of an old version, which stops nbgrader for the whole class."""
    notebook = json.loads(path.read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        cell["metadata"]["nbgrader"]["schema_version"] = 1
    path.write_text(json.dumps(notebook), encoding="utf-8")


DAMAGE: dict[str, Callable[[Path], object]] = {
    "cut off": lambda path: path.write_bytes(path.read_bytes()[:-40]),
    "empty": lambda path: path.write_bytes(b""),
    "not text": lambda path: path.write_bytes(b"\xff\xfe\0"),
    "nested": lambda path: path.write_bytes(b"[" * 100_000),
    "no cells": lambda path: path.write_text('{"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": []}'),
    "older format": lambda path: path.write_text(
        '{"nbformat": 3, "nbformat_minor": 0, "metadata": {}, "worksheets": []}'
    ),
    "a link": lambda path: (path.rename(path.with_name("x")), path.symlink_to("x")),
    "renamed": rename,
    "two others": two_others,
    "one more": one_more,
    "one id": twice_the_same_id,
    "old schema": old_schema,
}


@pytest.mark.parametrize("kind", DAMAGE)
def test_damaged_notebooks_leave_the_same_gradebook(
    folder: Path, twin: Path, hand_in: HandIn, keys: Keys, kind: str
) -> None:
    """What nbgrader itself can't read, or takes for something else, is marked as we mark it, and the next one too."""
    DAMAGE[kind](hand_in("ann", keys["ann"]))
    hand_in("ben", keys["ben"])
    hand_over(folder, twin, dict.fromkeys(("ann", "ben"), "2026-11-26 08:00:00.000000 UTC"))
    done = both(folder, twin)
    assert done == [kind != "two others", True]


def test_a_whole_notebook_that_is_damaged_later_keeps_no_score(
    folder: Path, twin: Path, hand_in: HandIn, keys: Keys
) -> None:
    """Where nbgrader would leave the old score under a new time, every cell gets its 0 and waits for a person."""
    hand_in("ann", keys["ann"])
    hand_over(folder, twin, {"ann": "2026-11-26 08:00:00.000000 UTC"})
    both(folder, twin)
    hand_in("ann", keys["ann"]).write_bytes(b"{")
    hand_over(folder, twin, {"ann": "2026-11-27 08:00:00.000000 UTC"})
    both(folder, twin)
    with Gradebook(class_folder(twin).gradebook_url) as gradebook:
        assert gradebook.find_submission(SET, "ann").score == 0


def run(folder: Path, *words: str, environment: Mapping[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    """Run one of nbgrader's own commands in the class folder."""
    command = [sys.executable, "-m", "nbgrader", *words]
    env = {**os.environ, **(environment or {})}
    return subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, timeout=120)


def test_the_plain_commands_run_nothing_that_was_handed_in(
    folder: Path, twin: Path, hand_in: HandIn, keys: Keys, tmp_path: Path
) -> None:
    """`nbgrader autograde` and `nbgrader generate_feedback` as typed: same rows, a page for each, no code, no script.

    A folder of nobody fails by itself, makes no student, and leaves the others alone.
    """
    target = tmp_path / "written"

    def plant(notebook: dict[str, Any]) -> None:
        text = {"cell_type": "markdown", "id": "text", "metadata": {}, "source": "<script>alert(1)</script>"}
        code = {"cell_type": "code", "execution_count": None, "id": "own", "metadata": {}, "outputs": []}
        notebook["cells"][:0] = [text, {**code, "source": f"open({str(target)!r}, 'w').write('x')"}]

    hand_in("ann", keys["ann"] | {"answer_1": "<script>alert(2)</script>"}, change=plant)
    hand_in("ben", keys["ben"])
    hand_over(folder, twin, dict.fromkeys(("ann", "ben"), "2026-11-26 08:00:00.000000 UTC"))
    stranger = twin / "submissions" / "zoe" / SET
    shutil.copytree(twin / "submissions" / "ben" / SET, stranger)
    mark(folder, SET, now=NOW)
    graded = run(twin, "autograde", SET)
    assert graded.returncode == 1
    assert "zoe" in graded.stderr
    assert gradebook_rows(class_folder(twin)) == gradebook_rows(class_folder(folder))
    for path in ("ann", "ben"):
        ours, theirs = (class_folder(place).autograded(SET, path).read_bytes() for place in (folder, twin))
        assert ours == theirs
    given = run(twin, "generate_feedback", SET)
    assert given.returncode == 0, given.stderr
    page = class_folder(twin).feedback(SET, "ann").read_text(encoding="utf-8")
    assert "<script>alert" not in page
    assert "alert(2)" in page
    assert not target.exists()


def test_what_the_formgrader_shows_fails_closed(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """If somebody's configuration puts nbgrader's own step back, it finds the same number in each check cell."""
    import nbformat
    from nbgrader.utils import determine_grade, is_grade

    hand_in("ann", keys["ann"] | {"answer_1": "1 gtt/min", "answer_2": ""})
    mark(folder, SET, now=NOW)
    notebook = nbformat.read(class_folder(folder).autograded(SET, "ann"), as_version=nbformat.NO_CONVERT)
    nbformat.validate(notebook)
    found = {c.metadata.nbgrader.grade_id: determine_grade(c)[0] for c in notebook.cells if is_grade(c)}
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        (ours,) = gradebook.find_submission(SET, "ann").notebooks
        assert found == {grade.name: grade.auto_score for grade in ours.grades}


def test_the_formgrader_sees_what_we_marked(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """After `calclib mark` it lists each submission as graded, with the score, and asks for no other run."""
    for student, answers in keys.items():
        hand_in(student, answers)
    hand_over(folder, folder.parent / "elsewhere", dict.fromkeys(keys, "2026-11-26 08:00:00.000000 UTC"))
    mark(folder, SET, now=NOW)
    listed = formgrader(folder).get_submissions(SET)
    assert {one["student"]: (one["autograded"], one["score"]) for one in listed} == dict.fromkeys(keys, (True, 12.0))


def test_another_assignment_is_refused(folder: Path, hand_in: HandIn) -> None:
    """An assignment that isn't a set of ours is not run by way of this folder: one sentence says so."""
    path = folder / "submissions" / "ann" / "essay" / "essay.ipynb"
    path.parent.mkdir(parents=True)
    shutil.copy(hand_in("ann", {}), path)
    with Gradebook(class_folder(folder).gradebook_url, "dosage") as gradebook:
        gradebook.add_assignment("essay", course_id="dosage")
        gradebook.add_notebook("essay", "essay")
    done = formgrader(folder).autograde("essay", "ann", force=True, create=False)
    assert not done["success"]
    assert "No set 'essay' was handed out" in done["log"]
