"""Class folders of earlier versions, with what their commands printed, read and go on with the program of today.

Scores, events and changed marks stand here and in `older_folders.py` as those versions printed or recorded them.
"""

from __future__ import annotations

import datetime as dt
import re
import shutil
from fractions import Fraction
from pathlib import Path

import pytest
from sqlalchemy import select

from calclib.class_files import class_folder
from calclib.errors import BadInput
from calclib.quantity.writing import points_text
from calclib.records import reading
from calclib.records.tables import MARK, PERSON
from tests.records.schema.older_folders import NAMES, NOTES, SETS, STUDENTS, OlderFolder, done, exported, run, unpack

# Of all answers these get another score when marked again: set, student, attempt, problem, part; each had half of its
# points. A surface was asked by hundredths, and answered so before tenths were asked in their place: rightly rounded at
# finer digits. The two others aren't the right answer, which needs no rounding.
FINER, NOT_IT = ("right_before_rounding", Fraction(3, 4)), ("wrong_with_cause", Fraction(0))
CHANGED = {
    "by_0_1_0": {
        ("w3", "ann", 1, 8, "surface"): FINER,
        ("w3", "ben", 1, 8, "surface"): FINER,
        ("w3", "cat", 1, 8, "surface"): FINER,
        ("w3", "dan", 1, 8, "surface"): FINER,
        ("w3", "cat", 1, 3, "rate"): NOT_IT,
        ("w3", "fay", 1, 3, "volume"): NOT_IT,
    },
    "before_numbered_tables": {},
    "before_facts": {},
}
# How many students gain and lose by them.
GAIN_AND_LOSE = {("by_0_1_0", "w3"): "3 students gain, 2 lose:"}
# What changes of the verdicts without changing points.
RENAMED = {"by_0_1_0": {("wrong", "wrong_with_cause")}, "before_numbered_tables": set(), "before_facts": set()}
EVENTS = {"w1": 39, "w2": 20, "w3": 21, "w4": 12}
EVENTS_BEFORE_FACTS = {"w1": 39, "w2": 18, "w3": 21, "w4": 16}
# The two events that read otherwise than in 0.1.0.
REWORDED = {"dropped": "released", "keyed anew": "re-keyed"}


@pytest.fixture(scope="module", params=NAMES)
def unpacked(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> OlderFolder:
    """Each folder, which no test changes; the first that reads it brings its tables up."""
    return unpack(request.param, tmp_path_factory.mktemp(request.param))


@pytest.fixture
def older(unpacked: OlderFolder, tmp_path: Path) -> Path:
    """A copy of the class folder."""
    return Path(shutil.copytree(unpacked.folder, tmp_path / "class"))


@pytest.mark.parametrize("set_name", SETS)
def test_scores_are_those_recorded(unpacked: OlderFolder, tmp_path: Path, set_name: str) -> None:
    """Reading an older class changes no score of anybody."""
    found = exported(unpacked.folder, set_name, tmp_path / "results.csv")
    wanted = {one: (NOTES.get((set_name, one), ""), scores) for one, scores in unpacked.scores[set_name].items()}
    assert found == wanted


def in_utc(time: str, zone: str) -> dt.datetime:
    """A printed time, whatever the zone in which it is told."""
    return dt.datetime.fromisoformat(f"{time}{zone.removeprefix('UTC') or '+00:00'}").astimezone(dt.UTC)


@pytest.mark.parametrize("set_name", SETS)
def test_history_has_the_same_events(unpacked: OlderFolder, set_name: str) -> None:
    """Each at the same time, of the same student, under the name that it has today."""
    event = re.compile(r"^(\S+ \S+) (UTC\S*)  ([a-z -]+?)(?: \((\w+)\))?(?::|$)", re.MULTILINE)
    before = event.findall(unpacked.printed(f"{set_name}-history"))
    wanted = [(in_utc(time, zone), REWORDED.get(name, name), who) for time, zone, name, who in before]
    after = done("history", unpacked.folder, set_name)
    assert [(in_utc(time, zone), name, who) for time, zone, name, who in event.findall(after)] == wanted
    assert len(before) == (EVENTS_BEFORE_FACTS if unpacked.name == "before_facts" else EVENTS)[set_name]
    lines = zip(unpacked.printed(f"{set_name}-history").splitlines(), after.splitlines(), strict=True)
    assert [(old, new) for old, new in lines if told(old) != told(new)] == []


def told(line: str) -> list[str]:
    """What a line tells beside the event, whatever the order and the wording of the day."""
    line = line.replace("handed in anew", "resubmitted").replace("keyed anew", "re-keyed").replace("models , ", "")
    line = re.sub(r"about (.*), ruling (\d+), says ", r"ruling \2 on \1: ", line)
    # Exact fractions of then are told as decimals, and a cut score with its sign.
    line = re.sub(r"points (\d+/\d+)", lambda found: f"points {points_text(Fraction(found[1]))}", line)
    line = re.sub(r"(cut score \d+)%", r"\1", line)
    return sorted(line.partition("  ")[2].partition(": ")[2].split(", "))


@pytest.mark.parametrize("set_name", SETS)
def test_review_shows_the_same_answers_and_rulings(unpacked: OlderFolder, set_name: str) -> None:
    """What waits for a person still does, with the command that settles it; each ruling of each kind is told."""
    before = unpacked.printed(f"{set_name}-review")
    after = done("review", unpacked.folder, set_name)
    # What waits in attempts that do not count was not listed then.
    after = re.sub(r"^\d+ attempts? that do.*\n", "", after, flags=re.MULTILINE)
    after = re.sub(r"^[^\n]*, attempt \d, .*\n(?:  .*\n)+\n?", "", after, flags=re.MULTILINE)
    assert after.rstrip() == before.replace("keyed anew", "re-keyed").rstrip()


@pytest.mark.parametrize("student", STUDENTS)
def test_explanations_give_the_recorded_scores_and_verdicts(unpacked: OlderFolder, student: str) -> None:
    """In the same order, with the problem's text and the worked solution beside each answer that had them."""
    told = r"^  (?:Recorded )?(?:Verdict|verdict): [a-z ]+|^  Score: .*|^  Accepted: .*|^  Typed: .*"
    told = re.compile(rf"{told}|^  Worked solution:|^  (?:Problem|Question): .*|^[\d.]+ of 9 points.*", re.MULTILINE)
    before, after = (
        [line.replace("Recorded verdict", "Verdict") for line in told.findall(text)]
        for text in (unpacked.printed(f"w1-explain-{student}"), done("explain", unpacked.folder, "w1", student))
    )
    assert sum(line.startswith("  Score") for line in before) == 15
    assert sorted(after) == sorted(before)


@pytest.mark.parametrize("set_name", ["w2", "w3", "w4"])
def test_everybody_else_is_explained_or_said_to_be_missing(unpacked: OlderFolder, set_name: str) -> None:
    """Whoever handed in gets a page, somebody who was erased or handed in nothing a sentence."""
    missing = {"eve"} | {one for one, scores in unpacked.scores[set_name].items() if not scores}
    for student in (*STUDENTS, "eve"):
        found = run("explain", unpacked.folder, set_name, student)
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


def test_marking_again_changes_the_listed_marks_alone(unpacked: OlderFolder, older: Path, tmp_path: Path) -> None:
    """Else an answer that was wrong may have got a cause, and nothing more; a preview tells as much beforehand."""
    before, wanted = marks(older), CHANGED[unpacked.name]
    previews = {set_name: done("mark", older, set_name, "--preview") for set_name in SETS}
    assert marks(older) == before
    for set_name, preview in previews.items():
        assert GAIN_AND_LOSE.get((unpacked.name, set_name), "Nobody's marks change.") in preview
        done("mark", older, set_name, "--yes")
    after = marks(older)
    assert after.keys() == before.keys()
    changed = {key for key in before if before[key][1] != after[key][1]}
    assert {key: (after[key][0], after[key][1][0]) for key in changed} == wanted
    assert {(before[key][0], before[key][1][0]) for key in changed} <= {("rounded_wrongly", Fraction(1, 2))}
    renamed = {(before[key][0], after[key][0]) for key in before.keys() - changed if before[key] != after[key]}
    assert renamed == RENAMED[unpacked.name]
    for set_name in SETS:
        if not any(name == set_name for name, *_ in wanted):
            found = exported(older, set_name, tmp_path / "again.csv")
            assert {one: scores for one, (_, scores) in found.items()} == unpacked.scores[set_name]


def test_the_class_goes_on(unpacked: OlderFolder, older: Path, tmp_path: Path) -> None:
    """Rulings are made and withdrawn, attempts given, students erased and pages written, as in a class of today."""
    for set_name in SETS:
        done("again", older, set_name, "--student", "ben")
    done("rule", older, "w1", "--problem", 7, "--credit-all", "--reason", "Later.", "--by", "Prof. Quince", "--yes")
    done("rule", older, "w4", "--problem", 5, "--void", "--reason", "Never taught.", "--yes")
    done("rule", older, "w4", "--withdraw", 1, "--reason", "It was taught.", "--yes")
    done("rule", older, "w3", "--withdraw", 1, "--reason", "The printed rule counts.", "--yes")
    done("erase", older, "fay", "--yes")
    done("report", older, "w3")
    w1, w3, w4 = (exported(older, name, tmp_path / "results.csv") for name in ("w1", "w3", "w4"))
    # One point for problem 7 in place of two thirds, a tenth of which being late leaves; ten days late leave nothing.
    cat, ann = ("0", "0") if unpacked.name == "before_facts" else ("0.8", "0.9")
    assert (w1["cat"][1], "fay" in w1) == (f"{cat} 1 2 0.6667 0.6667 1 1 1 0.6667", False)
    assert w3["ann"][1] == f"{ann} 1 2 1 1 1 1 1 1"
    assert w4["dan"][1] == unpacked.scores["w4"]["dan"]
    assert "ruling 9" in done("history", older, "w1")
    assert "Fay" not in "".join(done(command, older, "w1") for command in ("history", "review"))
