import datetime as dt
import io
import json
import os
import stat
import time
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest

from calclib.class_files import class_folder, roster_from_text
from calclib.class_files.roster import Student
from calclib.collecting import collect
from calclib.collecting.file_owner import Owners
from calclib.collecting.stored_submission import submission_time
from calclib.errors import BadInput
from calclib.wording import Fact, sentence
from tests.small_class.started import NOW, ROSTER

LATER = NOW + dt.timedelta(days=3)


def test_one_folder_a_student_is_collected(folder: Path) -> None:
    """A folder as handing out makes it comes in whole; a second run takes nothing."""
    first = collect(folder, "week-3", folder / "release", now=LATER)
    assert [student.id for student in first.new] == ["ann", "ben", "cat"]
    assert (first.unchanged, first.missing, first.notes) == ((), (), ())
    assert class_folder(folder).submitted("week-3", "ann").read_bytes() == (
        class_folder(folder).rendered("week-3", "ann").read_bytes()
    )
    second = collect(folder, "week-3", folder / "release", now=LATER)
    assert (len(second.new), len(second.unchanged)) == (0, 3)
    assert not (folder / "earlier").exists()


def told(owner: Student | Fact) -> str:
    """What is said where a path is nobody's."""
    assert isinstance(owner, Fact)
    return sentence(owner)


@pytest.mark.parametrize(
    ("path", "student"),
    [
        ("ann/week-3/week-3.ipynb", "ann"),
        ("aash/week-3.ipynb", "ann"),
        ("Ash, Ann_8812_file_/week-3.ipynb", "ann"),
        ("ash_ann_late_8812_week-3.ipynb", "ann"),
        ("BEN.ipynb", "ben"),
        ("Ben Birch/Untitled.ipynb", "ben"),
        ("8812 - Ben Birch - 25 Nov/week-3.ipynb", "ben"),
        ("week-3_ben.ipynb", "ben"),
        ("submissions/ben/week-3/ann notes/week-3.ipynb", "ben"),
        ("week-3/Cat Cedar.ipynb", "cat"),
    ],
)
def test_a_student_is_known_by_folder_or_file(path: str, student: str) -> None:
    """Id, hub user, LMS name and the roster's name serve, whatever a system writes around them."""
    owner = Owners(roster_from_text(ROSTER)).owner(tuple(path.split("/")))
    assert isinstance(owner, Student)
    assert owner.id == student


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("zoe/week-3.ipynb", "nobody's"),
        ("week-3.ipynb", "nobody's"),
        ("annabel.ipynb", "nobody's"),
        ("ben and cat.ipynb", None),
        ("work by ben cat together.ipynb", "could be Ben Birch (ben) or Cat Cedar (cat)"),
    ],
)
def test_nobody_is_guessed(path: str, words: str | None) -> None:
    """A name that fits nobody, or two, is for a person; one that begins with a student's name is that student's."""
    owner = Owners(roster_from_text(ROSTER)).owner(tuple(path.split("/")))
    if words is None:
        assert isinstance(owner, Student)
    else:
        assert words in told(owner)


def test_two_students_of_one_name_are_not_mixed_up() -> None:
    """A name that two students share decides nothing; their ids do."""
    owners = Owners(roster_from_text("id,name\ns101,Ann Lee\ns102,Ann Lee\n"))
    assert "nobody's" in told(owners.owner(("Ann Lee", "week-3.ipynb")))
    owner = owners.owner(("Ann Lee_s102", "week-3.ipynb"))
    assert isinstance(owner, Student)
    assert owner.id == "s102"


@pytest.mark.parametrize(
    ("pattern", "path", "student"),
    [
        ("{id}@{school}", "ben@north.ipynb", "ben"),
        ("{name}_{number}_{file}", "Ann Ash_8812_cat.ipynb", "ann"),
        ("{lms_name}_{number}/{file}", "x/Ash, Ann_8812/cat.ipynb", "ann"),
        ("{file}-{hub_user}.ipynb", "cat-AASH.ipynb", "ann"),
        ("{name}_{id}", "Ben Birch_ben.ipynb", "ben"),
        ("({id})", "(cat).ipynb", "cat"),
    ],
)
def test_a_pattern_says_where_the_name_stands(pattern: str, path: str, student: str) -> None:
    """What a pattern finds decides, whatever other names are in the path."""
    owner = Owners(roster_from_text(ROSTER), pattern).owner(tuple(path.split("/")))
    assert isinstance(owner, Student)
    assert owner.id == student


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("ben.ipynb", "doesn't fit the pattern"),
        ("zoe_1.ipynb", "nobody's"),
        ("ben_cat.ipynb", "could be Ben Birch (ben) or Cat Cedar (cat)"),
    ],
)
def test_a_pattern_never_guesses(path: str, words: str) -> None:
    """A path that doesn't fit, names nobody, or names two is left alone."""
    assert words in told(Owners(roster_from_text(ROSTER), "{id}_{name}").owner((path,)))


def test_a_name_made_to_be_slow_is_not() -> None:
    """No file name takes long to compare with a pattern."""
    owners = Owners(roster_from_text(ROSTER), "{a}_{b}_{c}_{id}")
    started = time.perf_counter()
    for length in (250, 60_000):
        owners.owner(("_" * length + "\n",))
    assert time.perf_counter() - started < 5


@pytest.mark.parametrize(
    "pattern", ["", "ben", "{file}", "{ID}", "{id}_{file", "{id}_file}", "{id}{name}", "{a}-" * 4 + "{id}"]
)
def test_a_pattern_that_says_nothing_is_refused(pattern: str) -> None:
    """It must name a student, and its parts must be told apart."""
    with pytest.raises(BadInput, match="The pattern"):
        Owners(roster_from_text(ROSTER), pattern)


def put(source: Path, path: str, text: str, time: dt.datetime = NOW) -> None:
    """Write a file with a time."""
    target = source / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text, encoding="utf-8")
    os.utime(target, (time.timestamp(), time.timestamp()))


def test_no_earlier_submission_is_lost(folder: Path, tmp_path: Path) -> None:
    """The latest is where marking looks, and each other is kept by its time, in whatever order they come in."""
    where = class_folder(folder)
    days = [NOW + dt.timedelta(days=n) for n in range(3)]
    for day in (1, 0, 2):
        put(tmp_path / f"in{day}", "ben/week-3.ipynb", f"day {day}", days[day])
        collect(folder, "week-3", tmp_path / f"in{day}", now=LATER)
    assert where.submitted("week-3", "ben").read_text() == "day 2"
    assert sorted(path.read_text() for path in where.earlier("week-3", "ben").iterdir()) == ["day 0", "day 1"]
    for day in (2, 0, 1):
        assert collect(folder, "week-3", tmp_path / f"in{day}", now=LATER).new == ()
    assert len(list(where.earlier("week-3", "ben").iterdir())) == 2


def test_the_time_is_kept_as_nbgrader_keeps_it(folder: Path, tmp_path: Path) -> None:
    """`timestamp.txt` holds the time in UTC, and never one that lies ahead."""
    from nbgrader.utils import parse_utc

    put(tmp_path / "in", "ben/week-3.ipynb", "x", NOW + dt.timedelta(days=99))
    collect(folder, "week-3", tmp_path / "in", now=LATER)
    stamp = class_folder(folder).submitted("week-3", "ben").with_name("timestamp.txt").read_text().strip()
    assert parse_utc(stamp) == LATER.replace(tzinfo=None)


def test_who_is_missing_and_who_is_unknown_is_said(folder: Path, tmp_path: Path) -> None:
    """One sentence each; the others are collected all the same."""
    put(tmp_path / "in", "ben/week-3.ipynb", "x")
    put(tmp_path / "in", "zoe/week-3.ipynb", "x")
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    assert [student.id for student in found.new] == ["ben"]
    assert [student.id for student in found.missing] == ["ann", "cat"]
    (note,) = found.notes
    assert note.startswith("zoe/week-3.ipynb is nobody's")


@pytest.mark.parametrize("name", ["bn birch", "birchben", "ashann1", "benbirhc"])
def test_a_misspelt_name_is_told_with_the_nearest_and_what_to_do(folder: Path, tmp_path: Path, name: str) -> None:
    """A hint, never a guess: the file is left alone."""
    put(tmp_path / "in", f"{name}/week-3.ipynb", "x")
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    (note,) = found.notes
    nearest = "Ann Ash, ann" if name.startswith("ash") else "Ben Birch, ben"
    assert f"(did you mean {nearest}?)" in note
    assert note.endswith("Rename the folder or the file to the student's id, and collect again.")
    assert found.new == ()


def test_several_notebooks_of_one_student(folder: Path, tmp_path: Path) -> None:
    """That of the set's name counts, copies by time; where none has the name a person renames it."""
    put(tmp_path / "in", "ann/week-3.ipynb", "older", NOW)
    put(tmp_path / "in", "ann/week-3 (1).ipynb", "newer", NOW + dt.timedelta(hours=1))
    put(tmp_path / "in", "ann/notes.ipynb", "notes")
    put(tmp_path / "in", "ben/a.ipynb", "a")
    put(tmp_path / "in", "ben/b.ipynb", "b")
    put(tmp_path / "in", "cat/Untitled.ipynb", "only one")
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    where = class_folder(folder)
    assert where.submitted("week-3", "ann").read_text() == "newer"
    assert [path.read_text() for path in where.earlier("week-3", "ann").iterdir()] == ["older"]
    assert where.submitted("week-3", "cat").read_text() == "only one"
    assert not where.submitted("week-3", "ben").exists()
    assert any("none named week-3.ipynb" in note for note in found.notes)


def test_notebooks_of_another_set_are_passed_over(folder: Path, tmp_path: Path) -> None:
    """A term's folder can be collected set by set."""
    (folder / "blueprints" / "week-3-resit.toml").write_text("", encoding="utf-8")
    put(tmp_path / "in", "ben/week-3-resit.ipynb", "resit")
    put(tmp_path / "in", "cat/week-3.ipynb", "first")
    put(tmp_path / "in", "cat/week-3-resit.ipynb", "resit")
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    assert [student.id for student in found.new] == ["cat"]
    assert class_folder(folder).submitted("week-3", "cat").read_text() == "first"


def zipped(path: Path, *entries: tuple[str | zipfile.ZipInfo, bytes]) -> Path:
    """A zip with entries as given."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in entries:
            entry = zipfile.ZipInfo(name, (2026, 11, 26, 12, 0, 0)) if isinstance(name, str) else name
            archive.writestr(entry, data, zipfile.ZIP_DEFLATED if isinstance(name, str) else None)
    return path


def test_a_zip_is_collected_without_being_unpacked(folder: Path, tmp_path: Path) -> None:
    """A zip as a learning management system makes it, with a zip of one student in a folder beside."""
    source = zipped(tmp_path / "all.zip", ("Ash, Ann_1/week-3.ipynb", b"a"), ("__MACOSX/ben.ipynb", b"x"))
    assert [student.id for student in collect(folder, "week-3", source, now=LATER).new] == ["ann"]
    (tmp_path / "in").mkdir()
    zipped(tmp_path / "in" / "ben.zip", ("week-3.ipynb", b"b"))
    assert [student.id for student in collect(folder, "week-3", tmp_path / "in", now=LATER).new] == ["ben"]


@pytest.mark.parametrize("stamp", [(1980, 1, 1, 0, 0, 0), (2026, 11, 23, 0, 0, 0), (1980, 0, 0, 0, 0, 0)])
def test_an_impossible_time_in_a_zip_gives_way_to_that_of_collecting(
    folder: Path, tmp_path: Path, stamp: tuple[int, int, int, int, int, int]
) -> None:
    """Nobody is early by a clock that stood still; it is said once, and a later run displaces nothing by it."""
    source = zipped(tmp_path / "all.zip", (zipfile.ZipInfo("ben/week-3.ipynb", stamp), b"first"))
    found = collect(folder, "week-3", source, now=LATER)
    submitted = class_folder(folder).submitted("week-3", "ben")
    assert submission_time(submitted.with_name("timestamp.txt")) == LATER
    (note,) = found.notes
    assert note.startswith("ben/week-3.ipynb of Ben Birch (ben) has an impossible time")
    assert collect(folder, "week-3", source, now=LATER + dt.timedelta(hours=1)).notes == ()
    put(tmp_path / "in", "ben/week-3.ipynb", "second", LATER + dt.timedelta(hours=2))
    collect(folder, "week-3", tmp_path / "in", now=LATER + dt.timedelta(hours=3))
    assert collect(folder, "week-3", source, now=LATER + dt.timedelta(hours=4)).notes == ()
    assert submitted.read_text() == "second"


def test_a_file_unpacked_without_its_time_is_as_late_as_its_collecting(folder: Path, tmp_path: Path) -> None:
    """It is named too."""
    put(tmp_path / "in", "ben/week-3.ipynb", "x", dt.datetime(1980, 1, 1, tzinfo=dt.UTC))
    (note,) = collect(folder, "week-3", tmp_path / "in", now=LATER).notes
    assert "impossible time" in note


STRAYS = ("hw1.pdf", "hw1.html", "hw1.docx", "week-3.ipynb.pdf", "answers")


@pytest.mark.parametrize("name", STRAYS)
@pytest.mark.parametrize("packed", [False, True])
def test_no_file_of_a_student_vanishes_without_a_word(folder: Path, tmp_path: Path, name: str, packed: bool) -> None:
    """What isn't a notebook is named with what to ask for, in a folder and in a zip; the others come in."""
    if packed:
        source = zipped(tmp_path / "all.zip", (f"ben/{name}", b"%PDF"), ("cat/week-3.ipynb", b"good"))
    else:
        source = tmp_path / "in"
        put(source, f"ben/{name}", "%PDF")
        put(source, "cat/week-3.ipynb", "good")
    found = collect(folder, "week-3", source, now=LATER)
    assert [student.id for student in found.new] == ["cat"]
    assert found.notes == (f"ben/{name} isn't a notebook: ask for the .ipynb file.",)


@pytest.mark.parametrize("ending", [".ipynb.txt", ".ipynb.json", ".IPYNB"])
@pytest.mark.parametrize("alone", [False, True])
def test_a_notebook_that_a_browser_saved_under_another_ending_is_taken(
    folder: Path, tmp_path: Path, ending: str, alone: bool
) -> None:
    """By what it holds; a page under such a name is named instead."""
    data = class_folder(folder).rendered("week-3", "ben").read_text(encoding="utf-8")
    put(tmp_path / "in", f"ben{ending}" if alone else f"ben/week-3{ending}", data)
    put(tmp_path / "in", "cat/week-3.ipynb.txt", "<html>")
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    assert [student.id for student in found.new] == ["ben"]
    assert class_folder(folder).submitted("week-3", "ben").read_text(encoding="utf-8") == data
    assert found.notes == ("cat/week-3.ipynb.txt isn't a notebook: ask for the .ipynb file.",)


def test_what_systems_leave_and_what_is_nobodys_stays_silent(folder: Path, tmp_path: Path) -> None:
    """Hidden files, thumbnails and the teacher's own lists; another set's files are that set's."""
    (folder / "blueprints" / "week-3-resit.toml").write_text("", encoding="utf-8")
    silent = ("ben/.DS_Store", "ben/Thumbs.db", "ben/.ipynb_checkpoints/a.pdf", "ben/._week-3.ipynb", "ben/~$a.docx")
    for path in (*silent, "__MACOSX/ben/a.pdf", "marks.xlsx", "ben/week-3-resit.pdf"):
        put(tmp_path / "in", path, "x")
    put(tmp_path / "in", "ben/week-3.ipynb", "good")
    assert collect(folder, "week-3", tmp_path / "in", now=LATER).notes == ()


def test_files_that_are_no_notebooks_are_named_up_to_a_number(folder: Path, tmp_path: Path) -> None:
    """Thousands of them fill no screen."""
    source = zipped(tmp_path / "all.zip", *((f"ben/{n:05}.pdf", b"") for n in range(10_001)))
    notes = collect(folder, "week-3", source, now=LATER).notes
    assert len(notes) == 7
    assert notes[5:] == (
        "Ben Birch (ben) handed in more files that aren't notebooks: 9995.",
        "There are more than 10,000 files that aren't notebooks: the rest were not looked at.",
    )


def test_a_source_without_any_notebook_is_told_from_one_with_others(folder: Path, tmp_path: Path) -> None:
    """A spreadsheet is a zip, too; a notebook of nobody is one."""
    (tmp_path / "in").mkdir()
    assert collect(folder, "week-3", tmp_path / "in", now=LATER).empty
    assert collect(folder, "week-3", zipped(tmp_path / "class.xlsx", ("xl/a.xml", b"x")), now=LATER).empty
    put(tmp_path / "in", "zoe/week-3.ipynb", "x")
    assert not collect(folder, "week-3", tmp_path / "in", now=LATER).empty


def link(name: str) -> zipfile.ZipInfo:
    """An entry that is a symbolic link."""
    entry = zipfile.ZipInfo(name, (2026, 11, 26, 12, 0, 0))
    entry.create_system = 3
    entry.external_attr = (stat.S_IFLNK | 0o777) << 16
    return entry


HOSTILE = {
    "climbs out": ("../../ben/week-3.ipynb", b"x", "leads out"),
    "absolute": ("/ben/week-3.ipynb", b"x", "leads out"),
    "drive": ("C:/ben/week-3.ipynb", b"x", "leads out"),
    "backslashes": ("..\\..\\ben\\week-3.ipynb", b"x", "leads out"),
    "link": (link("ben/week-3.ipynb"), b"/etc/passwd", "is a link"),
    "bomb": ("ben/week-3.ipynb", b"\0" * 30_000_000, "larger than"),
    "dense": ("ben/week-3.ipynb", b" " * 15_000_000, "grows more than 1,000 times"),
    "nested": ("ben/ben.zip", b"PK", "zip within a zip"),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_zip_harms_nobody(folder: Path, tmp_path: Path, kind: str) -> None:
    """The entry is left alone with a sentence, nothing is written elsewhere, and the others come in."""
    name, data, words = HOSTILE[kind]
    source = zipped(tmp_path / "all.zip", (name, data), ("cat/week-3.ipynb", b"good"))
    before = {path for path in tmp_path.rglob("*") if "class/submissions" not in str(path)}
    found = collect(folder, "week-3", source, now=LATER)
    assert [student.id for student in found.new] == ["cat"]
    assert any(words in note for note in found.notes)
    assert {path for path in tmp_path.rglob("*") if "class/submissions" not in str(path)} == before


def test_a_size_that_lies_is_found_out(folder: Path, tmp_path: Path) -> None:
    """What really comes out of a zip is counted, not what its head says."""
    source = zipped(tmp_path / "all.zip", ("ben/week-3.ipynb", os.urandom(10) * 2_500_000))
    data = source.read_bytes()
    source.write_bytes(data.replace((25_000_000).to_bytes(4, "little"), (5_000_000).to_bytes(4, "little")))
    found = collect(folder, "week-3", source, now=LATER)
    assert found.new == ()
    assert len(found.notes) == 1


@pytest.mark.parametrize("keep", [10, 60, -10])
def test_a_damaged_zip_is_one_sentence(folder: Path, tmp_path: Path, keep: int) -> None:
    """A zip that was cut off doesn't stop anything with a traceback."""
    source = zipped(tmp_path / "all.zip", ("ben/week-3.ipynb", os.urandom(500)))
    source.write_bytes(source.read_bytes()[:keep])
    with suppress(BadInput):
        assert collect(folder, "week-3", source, now=LATER).new == ()


def test_a_damaged_entry_is_one_sentence(folder: Path, tmp_path: Path) -> None:
    """An entry whose bytes were changed is told and the rest comes in."""
    text = json.dumps({"cells": ["x" * 500]}).encode()
    source = zipped(tmp_path / "all.zip", ("ben/week-3.ipynb", text), ("cat/week-3.ipynb", b"good"))
    data = bytearray(source.read_bytes())
    data[50] ^= 0xFF
    source.write_bytes(bytes(data))
    found = collect(folder, "week-3", source, now=LATER)
    assert [student.id for student in found.new] == ["cat"]
    assert "damaged" in found.notes[0]


def test_links_and_pipes_in_a_folder_are_left_alone(folder: Path, tmp_path: Path) -> None:
    """Nothing outside of the folder is read, and nothing waits for a pipe."""
    source = tmp_path / "in"
    secret = tmp_path / "secret.ipynb"
    secret.write_text("key", encoding="utf-8")
    (source / "ann").mkdir(parents=True)
    (source / "ann" / "week-3.ipynb").symlink_to(secret)
    (source / "ben").symlink_to(tmp_path)
    (source / "cat").mkdir()
    os.mkfifo(source / "cat" / "week-3.ipynb")
    found = collect(folder, "week-3", source, now=LATER)
    assert found.new == ()
    assert len(found.notes) == 3


def test_a_notebook_of_a_hundred_megabytes_is_left_alone(folder: Path, tmp_path: Path) -> None:
    """It isn't read into memory."""
    path = tmp_path / "in" / "ben" / "week-3.ipynb"
    path.parent.mkdir(parents=True)
    with path.open("wb") as file:
        file.truncate(100_000_000)
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    assert found.new == ()
    assert "larger than" in found.notes[0]


def test_a_name_with_control_characters_is_shown_harmless(folder: Path, tmp_path: Path) -> None:
    """What a student named a file can't write on the teacher's terminal."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("\x1b[2J<script>.ipynb", b"x")
    (tmp_path / "all.zip").write_bytes(buffer.getvalue())
    (note,) = collect(folder, "week-3", tmp_path / "all.zip", now=LATER).notes
    assert note.isprintable()


def test_a_set_that_was_not_handed_out_is_refused(folder: Path, tmp_path: Path) -> None:
    """So a mistyped name makes no folders."""
    with pytest.raises(BadInput, match="No set 'week-33'"):
        collect(folder, "week-33", tmp_path, now=LATER)
    with pytest.raises(BadInput, match="There is no folder or zip"):
        collect(folder, "week-3", tmp_path / "none", now=LATER)


@pytest.mark.parametrize("typed", ["", "25 gtt/min"], ids=["blank", "answered"])
def test_another_notebook_beside_a_blank_one_waits_for_a_person(folder: Path, tmp_path: Path, typed: str) -> None:
    """Answers in a notebook of the student's own making are listed for review; beside answers it is only named."""
    handed_out = class_folder(folder).rendered("week-3", "ann").read_text(encoding="utf-8")
    put(tmp_path / "in", "ann/week-3.ipynb", handed_out.replace('answer_1 = \\"\\"', f'answer_1 = \\"{typed}\\"'))
    cells = [{"cell_type": "markdown", "id": "a", "metadata": {}, "source": "answer_1 = 25 gtt/min"}]
    own = json.dumps({"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": cells})
    put(tmp_path / "in", "ann/Untitled.ipynb", own)
    (note,) = collect(folder, "week-3", tmp_path / "in", now=NOW).notes
    waits = list(folder.glob("questioned/ann/week-3/*.ipynb"))
    assert [path.read_text(encoding="utf-8") for path in waits] == ([] if typed else [own])
    assert ("calclib review lists it." in note) is not bool(typed)
    assert ("left alone: ann/Untitled.ipynb" in note) is bool(typed)
