"""Rosters whose names collecting can't tell apart, from start to mark, by commands as faculty give them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files import class_folder, read_roster
from calclib.gradebook import set_results
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from tests.cli.test_faculty_commands import run

HEAD = "id,name,hub_user,lms_name\n"
ORDER = """set = "week-3"
title = "Week 3"
rounding = "tenths-and-wholes"
marking = "homework"

[[items]]
item = "drop-rate"
"""
Start = Callable[[str], Path]


def done(*words: str) -> str:
    """What a command prints that ends well."""
    found = run(*words)
    assert found.exit_code == 0, found.output
    return found.output


def start_again(rows: str) -> tuple[int, str]:
    """Give a roster to the class, new or not."""
    Path("roster.csv").write_text(HEAD + rows, encoding="utf-8")
    found = run("start", "class", "--roster", "roster.csv")
    return found.exit_code, f"{found.output}{found.exception or ''}"


@pytest.fixture
def started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Start:
    """Starts a class of some rows and hands a set out."""
    monkeypatch.chdir(tmp_path)

    def make(rows: str) -> Path:
        code, output = start_again(rows)
        assert code == 0, output
        Path("week-3.toml").write_text(ORDER, encoding="utf-8")
        done("hand-out", "class", "week-3.toml")
        return Path("class")

    return make


@pytest.fixture
def started_before(started: Start, monkeypatch: pytest.MonkeyPatch) -> Start:
    """Starts a class as it was before names were compared."""

    def make(rows: str) -> Path:
        with monkeypatch.context() as before:
            before.setattr("calclib.releasing.start.read_new_roster", lambda path, known: read_roster(path))
            return started(rows)

    return make


def send(folder: Path, student: str, under: str) -> None:
    """Put a student's paper with right answers into the downloads, under a name."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, "week-3", pseudonyms(connection)[student])
    assert paper is not None
    (item,) = paper.items
    notebook = json.loads(class_folder(folder).rendered("week-3", student).read_bytes())
    for number, part in enumerate(item.record["parts"], start=1):
        for cell in notebook["cells"]:
            if "".join(cell["source"]).startswith(f'answer_{number} = ""'):
                cell["source"] = f'answer_{number} = "{part["answer"]}"'
    path = Path("downloads") / under / "week-3.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), encoding="utf-8")


def collected(folder: Path) -> str:
    """What is said when the downloads are collected."""
    return " ".join(done("collect", str(folder), "week-3", "downloads").split())


def percents(folder: Path) -> dict[str, int]:
    """The score of each student whose notebook is marked."""
    done("mark", str(folder), "week-3")
    results = set_results(class_folder(folder), "week-3")
    return {one.student.id: int(results.percent(one)) for one in results.marked}


def test_a_clash_is_refused_before_anything_is_made_and_its_way_out_leads_to_marks(started: Start) -> None:
    """The roster mended as the sentence says brings each student's hand-in to that student."""
    code, output = start_again("j.smith,Joan Smith,,\nj_smith,Jim Smith,,\n")
    assert code != 0
    for words in ("'j_smith' of Jim Smith (line 3)", "'j.smith' of Joan Smith (line 2)", "give Jim Smith another id"):
        assert words in output
    assert not Path("class").exists()
    folder = started("j.smith,Joan Smith,,\nj-smith-2,Jim Smith,,Smith J\u00fcrgen\n")
    send(folder, "j.smith", "J_Smith")
    send(folder, "j-smith-2", "smith_jurgen_8812")
    assert "2 new notebooks" in collected(folder)
    assert percents(folder) == {"j.smith": 100, "j-smith-2": 100}


@pytest.mark.parametrize(
    "more",
    ["ann_ash,Eve Elm,,", "eve,Eve Elm,Ann.Ash,", "eve,Eve Elm,,ANN ASH", "ben,Ben Birch,,Ann Ash"],
)
def test_a_later_roster_brings_no_clash_in(started: Start, more: str) -> None:
    """Refused, it changes nothing: the old list stands, and the hand-in is its student's."""
    folder = started("ann.ash,Ann A.,,\nben,Ben Birch,,\n")
    before = (folder / "roster.csv").read_bytes()
    rest = "" if more.startswith("ben") else "ben,Ben Birch,,\n"
    code, output = start_again(f"ann.ash,Ann A.,,\n{rest}{more}\n")
    assert code != 0
    assert "of Ann A. (line 2)" in output
    assert (folder / "roster.csv").read_bytes() == before
    send(folder, "ann.ash", "ann_ash")
    assert "1 new notebook," in collected(folder)
    assert percents(folder) == {"ann.ash": 100}


def test_the_name_of_one_who_left_is_free_once_that_student_is_erased(started: Start) -> None:
    """Until then a new student doesn't get it; afterward the hand-ins under it are the new student's."""
    folder = started("ann,Ann Ash,,\nj.smith,Joan Smith,,\n")
    assert start_again("ann,Ann Ash,,\n")[0] == 0
    rows = "ann,Ann Ash,,\nj_smith,Jim Smith,,\n"
    code, output = start_again(rows)
    assert code != 0
    assert "can't be told apart from the id 'j.smith' of a student who used to be in this class" in output
    done("erase", "class", "j.smith", "--yes")
    assert start_again(rows)[0] == 0
    done("hand-out", "class", "week-3")
    send(folder, "j_smith", "j.smith")
    assert "1 new notebook," in collected(folder)
    assert percents(folder) == {"j_smith": 100}


@pytest.mark.parametrize(
    ("rows", "under", "own"),
    [
        ("j.smith,Joan Smith,,\nj_smith,Jim Smith,,\n", "j_smith", "Jim Smith"),
        ("joan,Joan Smith,,Jim\njim,Jim Smith,,\n", "jim", "Jim Smith"),
        ("joan,Joan Smith,jim,\njim,Jim Smith,,\n", "jim", "Jim Smith"),
        ("joan,Joan Smith,,Jos\u00e9\njim,Jim Smith,,Jose\n", "jose", "jim"),
    ],
)
def test_a_class_of_old_stays_open_and_nothing_is_guessed(
    started_before: Start, rows: str, under: str, own: str
) -> None:
    """The hand-in that could be either's is named with both and a name that serves; under that it is marked."""
    folder = started_before(rows)
    student = read_roster(folder / "roster.csv").students[1].id
    send(folder, student, under)
    said = collected(folder)
    assert f"{under}/week-3.ipynb could be Jim Smith ({student}) or Joan Smith" in said
    assert f"'{own}' for Jim Smith" in said
    assert "0 new notebooks" in said
    assert percents(folder) == {}
    (Path("downloads") / under).rename(Path("downloads") / own)
    assert "1 new notebook," in collected(folder)
    assert percents(folder) == {student: 100}


def test_ids_of_old_do_not_keep_a_class_from_a_new_roster(started_before: Start) -> None:
    """They can't be changed, so the list is taken; where even the names are one, an LMS name that it gives serves."""
    folder = started_before("j.smith,J Smith,,\nj_smith,J Smith,,\n")
    send(folder, "j.smith", "j.smith")
    assert "Write an lms_name into the roster that only one of them has (calclib start)" in collected(folder)
    assert start_again("j.smith,J Smith,,Joan\nj_smith,J Smith,,\n")[0] == 0
    (Path("downloads") / "j.smith").rename(Path("downloads") / "joan")
    assert "1 new notebook," in collected(folder)
    assert percents(folder) == {"j.smith": 100}
