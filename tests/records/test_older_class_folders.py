"""A class folder of version 0.1.0, with what its commands printed of it, reads and goes on with the program of today.

Scores, events and changed marks stand here as that version printed or recorded them; `class_folders/` holds the folder
and the script that made it.
"""

from __future__ import annotations

import csv
import re
import shutil
import tarfile
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import select

from calclib.class_files import class_folder
from calclib.cli.main import calclib
from calclib.errors import BadInput
from calclib.records import reading
from calclib.records.tables import MARK, PERSON

ARCHIVE = Path(__file__).parent / "class_folders" / "by_0_1_0.tar.xz"
STUDENTS = ("ann", "ben", "cat", "dan", "fay")

# Points in all, and those of the eight problems before anything is taken off for being late.
SCORES = {
    "w1": {
        "ann": "0.9 1 2 1 1 1 1 1 1",
        "ben": "1.5167 1 1.5 0.9167 0.5833 1 0.75 0.9167 0.9167",
        "cat": "0.7667 1 2 0.6667 0.6667 1 1 0.6667 0.6667",
        "dan": "0.7667 1 1 0.6667 1 1 1 1 1",
        "fay": "0 0 0 0 0 0 0 0 0",
    },
    "w2": {
        "ann": "0.9 1 2 1 1 1 1 1 1",
        "ben": "1.7333 1 2 1 0.6667 1 1 1 1",
        "cat": "0.675 1 2 0.6667 0.6667 0 1 0.75 0.6667",
        "dan": "0.1333 0 0 0.3333 0.3333 0 0 0.3333 0.3333",
        "fay": "",
    },
    "w3": {
        "ann": "0.8 0.5 2 0.8333 1 1 1 0.8333 0.8333",
        "ben": "1.3167 0.5 1 0.8333 0.9167 1 0.75 0.8333 0.75",
        "cat": "0.5833 0.5 2 0.5 0.6667 0 1 0.6667 0.5",
        "dan": "0.5833 0.5 0 0.6667 1 1 1 0.8333 0.8333",
        "fay": "0.1917 0.5 1 0.1667 0 0 0 0.25 0",
    },
    "w4": {
        "ann": "0.9 1 2 1 1 1 1 1 1",
        "ben": "1.5833 1 1.5 0.9167 0.9167 1 0.75 0.9167 0.9167",
        "cat": "0.6667 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
        "dan": "0.6667 1 0 0.6667 1 1 1 1 1",
        "fay": "0.3583 1 2 0.3333 0 0 0 0.25 0",
    },
}
NOTES = {("w1", "fay"): "The notebook was made for student ann.", ("w2", "fay"): "nothing handed in"}
# Of all answers these get less when marked again: set, student, attempt, problem, part. Each went from half the points
# to none. A surface was rounded on the way, of which the record of then tells nothing, and the two others aren't the
# right answer, which needs no rounding.
LOST = {
    ("w3", "ann", 1, 8, "surface"),
    ("w3", "ben", 1, 8, "surface"),
    ("w3", "cat", 1, 8, "surface"),
    ("w3", "dan", 1, 8, "surface"),
    ("w3", "cat", 1, 3, "rate"),
    ("w3", "fay", 1, 3, "volume"),
}
# The two events that read otherwise today.
RENAMED = {"dropped": "released", "keyed anew": "re-keyed"}


def run(*words: object) -> Result:
    """Run a command."""
    return CliRunner().invoke(calclib, [str(word) for word in words])


def done(*words: object) -> str:
    """Return what a command prints that must succeed."""
    found = run(*words)
    assert found.exit_code == 0, found.exception
    return found.stdout


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder `class`, which no test changes, and the folder `printed`."""
    place = tmp_path_factory.mktemp("by_0_1_0")
    with tarfile.open(ARCHIVE) as archive:
        archive.extractall(place, filter="data")
    return place


@pytest.fixture
def older(unpacked: Path, tmp_path: Path) -> Path:
    """A copy of the class folder."""
    return Path(shutil.copytree(unpacked / "class", tmp_path / "class"))


def printed(unpacked: Path, name: str) -> str:
    """What a command of 0.1.0 printed."""
    return (unpacked / "printed" / f"{name}.txt").read_text("utf-8")


def exported(folder: Path, set_name: str, to: Path) -> dict[str, tuple[str, str]]:
    """Note and scores of each student, as they are exported."""
    done("export", folder, set_name, "--to", to)
    with to.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    return {
        row["id"]: (row["note"], " ".join([row["points"], *(row[name] for name in row if name[:1].isdigit())]).strip())
        for row in rows
    }


@pytest.mark.parametrize("set_name", SCORES)
def test_scores_are_those_recorded(unpacked: Path, tmp_path: Path, set_name: str) -> None:
    """Reading an older class changes no score of anybody."""
    found = exported(unpacked / "class", set_name, tmp_path / "results.csv")
    wanted = {one: (NOTES.get((set_name, one), ""), scores) for one, scores in SCORES[set_name].items()}
    assert found == wanted


@pytest.mark.parametrize("set_name", SCORES)
def test_history_has_the_same_events(unpacked: Path, set_name: str) -> None:
    """Each at the same time, of the same student, under the name that it has today."""
    event = re.compile(r"^(\S+ \S+ UTC)  ([a-z -]+?)(?: \((\w+)\))?(?::|$)", re.MULTILINE)
    before = event.findall(printed(unpacked, f"{set_name}-history"))
    wanted = [(time, RENAMED.get(name, name), who) for time, name, who in before]
    assert event.findall(done("history", unpacked / "class", set_name)) == wanted
    assert len(before) == {"w1": 39, "w2": 20, "w3": 21, "w4": 12}[set_name]


@pytest.mark.parametrize("set_name", SCORES)
def test_review_shows_the_same_answers_and_rulings(unpacked: Path, set_name: str) -> None:
    """What waits for a person still does, with the command that settles it; each ruling of each kind is told."""
    before = printed(unpacked, f"{set_name}-review").replace("CLASS", str(unpacked / "class"))
    assert done("review", unpacked / "class", set_name) == before.replace("keyed anew", "re-keyed")


@pytest.mark.parametrize("student", STUDENTS)
def test_explanations_give_the_recorded_scores_and_verdicts(unpacked: Path, student: str) -> None:
    """In the same order, with the problem's text and the worked solution beside each answer that had them."""
    told = r"^  (?:Recorded )?(?:Verdict|verdict): [a-z ]+|^  Score: .*|^  Accepted: .*|^  Typed: .*"
    told = re.compile(rf"{told}|^  Worked solution:|^  (?:Problem|Question): .*|^[\d.]+ of 9 points.*", re.MULTILINE)
    before, after = (
        [line.replace("Recorded verdict", "Verdict") for line in told.findall(text)]
        for text in (
            printed(unpacked, f"w1-explain-{student}"),
            done("explain", unpacked / "class", "w1", student),
        )
    )
    assert sum(line.startswith("  Score") for line in before) == 15
    assert sorted(after) == sorted(before)


@pytest.mark.parametrize("set_name", ["w2", "w3", "w4"])
def test_everybody_else_is_explained_or_said_to_be_missing(unpacked: Path, set_name: str) -> None:
    """Whoever handed in gets a page, somebody who was erased or handed in nothing a sentence."""
    missing = {"eve"} | {one for one, scores in SCORES[set_name].items() if not scores}
    for student in (*STUDENTS, "eve"):
        found = run("explain", unpacked / "class", set_name, student)
        if student in missing:
            assert isinstance(found.exception, BadInput), student
        else:
            assert "For the record" in found.stdout, (student, found.exception)


def marks(folder: Path) -> dict[tuple[object, ...], tuple[str, tuple[object, ...]]]:
    """Verdict, and what else is recorded of each answer's worth, by set, student, attempt, problem and part."""
    with reading(class_folder(folder)) as connection:
        names = {row.pseudonym: row.student_id for row in connection.execute(select(PERSON))}
        return {
            (row.set_name, names.get(row.pseudonym, ""), row.attempt, row.slot, row.part): (
                row.verdict,
                (Fraction(row.score), row.right, row.critical, row.needs_person, row.kept),
            )
            for row in connection.execute(select(MARK))
        }


def test_marking_again_changes_the_listed_marks_alone(older: Path, tmp_path: Path) -> None:
    """Else an answer that was wrong may have got a cause, and nothing more; a preview tells as much beforehand."""
    before = marks(older)
    previews = {set_name: done("mark", older, set_name, "--preview") for set_name in SCORES}
    assert marks(older) == before
    for set_name, preview in previews.items():
        lost = {student for name, student, *_ in LOST if name == set_name}
        assert f"0 students gain, {len(lost)} lose:" in preview if lost else "Nobody's marks change." in preview
        done("mark", older, set_name, "--yes")
    after = marks(older)
    assert after.keys() == before.keys()
    changed = {key for key in before if before[key][1] != after[key][1]}
    assert changed == LOST
    for key in LOST:
        assert (before[key][0], before[key][1][0], after[key][1][0]) == ("rounded_wrongly", Fraction(1, 2), 0), key
    renamed = {(before[key][0], after[key][0]) for key in before if key not in LOST and before[key] != after[key]}
    assert renamed == {("wrong", "wrong_with_cause")}
    for set_name in ("w1", "w2", "w4"):
        found = exported(older, set_name, tmp_path / "again.csv")
        assert {one: scores for one, (_, scores) in found.items()} == SCORES[set_name]


def test_the_class_goes_on(older: Path, tmp_path: Path) -> None:
    """Rulings are made and withdrawn, attempts given, students erased and pages written, as in a class of today."""
    for set_name in SCORES:
        done("again", older, set_name, "--student", "ben")
    done("rule", older, "w1", "--problem", 7, "--credit-all", "--reason", "Later.", "--by", "Prof. Quince", "--yes")
    done("rule", older, "w4", "--problem", 5, "--void", "--reason", "Never taught.", "--yes")
    done("rule", older, "w4", "--withdraw", 1, "--reason", "It was taught.", "--yes")
    done("rule", older, "w3", "--withdraw", 1, "--reason", "The printed rule counts.", "--yes")
    done("erase", older, "fay", "--yes")
    done("report", older, "w3")
    w1, w3, w4 = (exported(older, name, tmp_path / "results.csv") for name in ("w1", "w3", "w4"))
    # One point for problem 7 in place of two thirds, a tenth of which being late leaves.
    assert (w1["cat"][1], "fay" in w1) == ("0.8 1 2 0.6667 0.6667 1 1 1 0.6667", False)
    assert w3["ann"][1] == "0.9 1 2 1 1 1 1 1 1"
    assert w4["dan"][1] == SCORES["w4"]["dan"]
    assert "ruling 9" in done("history", older, "w1")
    assert "Fay" not in "".join(done(command, older, "w1") for command in ("history", "review"))
