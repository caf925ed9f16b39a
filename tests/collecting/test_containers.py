import datetime as dt
import io
import json
import os
import time
import zipfile
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path

import pytest

from calclib.class_files import class_folder, roster_from_text
from calclib.class_files.roster import Student
from calclib.collecting import collect
from calclib.collecting.file_owner import Owners
from calclib.gradebook import set_results
from calclib.judging_papers import mark
from tests.small_class.started import NOW, ROSTER

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]

HOUR = dt.timedelta(hours=1)
LATER = NOW + 72 * HOUR
JUNK = json.dumps({"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": []}).encode()


def zipped(entries: Mapping[str, bytes], hours: int = 40) -> bytes:
    """A zip with these files, each with a time so many hours after the set was handed out, each later."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for number, (name, data) in enumerate(entries.items()):
            when = (NOW + hours * HOUR + dt.timedelta(seconds=2 * number)).astimezone()
            entry = zipfile.ZipInfo(name, (when.year, when.month, when.day, when.hour, when.minute, when.second))
            archive.writestr(entry, data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def put(inbox: Path, path: str, data: bytes, hours: float) -> None:
    """A file whose time lies so many hours after the set was handed out."""
    target = inbox / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)
    when = (NOW + hours * HOUR).timestamp()
    os.utime(target, (when, when))


@pytest.fixture
def paper(hand_in: HandIn, keys: Keys) -> Callable[[str, bool], bytes]:
    """Bytes of a student's own notebook, all right or left blank."""

    def made(student: str, right: bool) -> bytes:
        path = hand_in(student, keys[student] if right else {})
        data = path.read_bytes()
        path.unlink()
        return data

    return made


def scores(folder: Path) -> dict[str, Fraction]:
    """The points of each student who was marked."""
    mark(folder, "week-3", now=LATER)
    return {
        one.student.id: sum(part.mark.earned for part in one.parts)
        for one in set_results(class_folder(folder), "week-3").marked
    }


NAMES = (
    "ann/week-3 ({}).ipynb",
    "ANN/WEEK-3 ({}).IPYNB",
    "Ash, Ann_8812_/week-3_{}.ipynb",
    "Ann Ash/week-3-resit {}.ipynb",
    "aash/{}/week-3.ipynb",
    "\uff41nn/week-3 ({}).ipynb",
    "ann_week-3_{}.ipynb",
    "submissions/ann/week-3/{}.ipynb",
)


@pytest.mark.parametrize("kind", ["zip", "folder", "zip of a class", "folder of the system", "upper case"])
def test_what_lies_in_one_students_hand_in_never_displaces_anothers(
    folder: Path, tmp_path: Path, paper: Callable[[str, bool], bytes], kind: str
) -> None:
    """Forty-eight later files with another's name in it, in any container: the other keeps all points."""
    inbox = tmp_path / "in"
    put(inbox, "ann/week-3.ipynb", paper("ann", True), 10)
    forged = {NAMES[n % len(NAMES)].format(n): JUNK + b" " * n for n in range(48)}
    if kind in ("zip", "upper case"):
        put(inbox, "cat.zip" if kind == "zip" else "CAT_late.ZIP", zipped(forged), 50)
    elif kind == "zip of a class":
        put(inbox, "all.zip", zipped({"cat.zip": zipped(forged), "ben/week-3.ipynb": paper("ben", True)}), 50)
    else:
        outer = "cat" if kind == "folder" else "Cat Cedar_8812_file_"
        for n, (inner, data) in enumerate(forged.items()):
            put(inbox, f"{outer}/{inner}", data, 50 + n / 100)
    found = collect(folder, "week-3", inbox, now=LATER)
    assert "ann" in [student.id for student in found.new]
    points = scores(folder)
    assert points["ann"] == 12
    assert points.get("cat", 0) == 0


@pytest.mark.parametrize("inner", ["w.ipynb", "ann/week-3.ipynb", "Untitled1.ipynb", "ben_final.ipynb", "week-9.ipynb"])
def test_the_students_own_paper_is_taken_under_any_name_among_many(
    folder: Path, tmp_path: Path, paper: Callable[[str, bool], bytes], inner: str
) -> None:
    """Thirty later files of the set's name don't push it out, and what isn't taken is named."""
    (folder / "blueprints" / "week-9.toml").write_text("", encoding="utf-8")
    many = {f"week-3 ({n}).ipynb": JUNK + b" " * n for n in range(30)}
    put(tmp_path / "in", "cat.zip", zipped({inner: paper("cat", True), **many}), 50)
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    assert scores(folder)["cat"] == 12
    left = " ".join(found.notes)
    assert "only the latest 20 were looked at; left alone were" in left
    assert "and 5 more" in left


def test_anothers_paper_in_ones_hand_in_waits_for_a_person(
    folder: Path, tmp_path: Path, paper: Callable[[str, bool], bytes]
) -> None:
    """A folder that only seems to be one student's hides nobody's work, and gives nobody points unasked."""
    put(tmp_path / "in", "cat lab section/ann/week-3.ipynb", paper("ann", True), 10)
    put(tmp_path / "in", "cat lab section/ben/week-3.ipynb", paper("ben", True), 11)
    put(tmp_path / "in", "cat lab section/cat/week-3.ipynb", paper("cat", True), 12)
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    assert sum("is the notebook of" in note for note in found.notes) == 2
    assert [path.parent.parent.name for path in sorted((folder / "questioned").glob("*/*/*.json"))] == ["ann", "ben"]
    assert scores(folder) == {"cat": 12}


def test_a_zip_with_a_students_name_given_alone_is_that_students(
    folder: Path, tmp_path: Path, paper: Callable[[str, bool], bytes]
) -> None:
    """Its name counts as that of a folder would."""
    put(tmp_path, "cat.zip", zipped({"ann/week-3.ipynb": JUNK, "week-3.ipynb": paper("cat", True)}), 50)
    assert [one.id for one in collect(folder, "week-3", tmp_path / "cat.zip", now=LATER).new] == ["cat"]
    assert scores(folder) == {"cat": 12}


@pytest.mark.parametrize(
    ("path", "student"),
    [
        ("ben.zip/ann/week-3.ipynb", "ben"),
        ("Ben Birch_12_late.ZIP/ann/w.ipynb", "ben"),
        ("week 3/ann.zip/ben.ipynb", "ann"),
        ("8812_ben_ann ash.ipynb", None),
        ("8812_ann ash_cat.ipynb", None),
        ("work by ann ash.ipynb", "ann"),
        ("\u0430nn/ben/w.ipynb", "ben"),
        ("all.zip/cat/ann.ipynb", "cat"),
    ],
)
def test_the_outermost_name_decides_and_two_in_one_name_decide_nothing(path: str, student: str | None) -> None:
    """Neither the longer name nor the exact one further in wins over it."""
    owner = Owners(roster_from_text(ROSTER)).owner(tuple(path.split("/")))
    assert (owner.id if isinstance(owner, Student) else None) == student


@pytest.mark.parametrize(
    ("pattern", "path", "student"),
    [
        ("{id}/{file}", "ben.zip/ann/week-3.ipynb", "ben"),
        ("{id}/{file}", "submissions/ben/week-3.ipynb", "ben"),
        ("{id}_{file}", "cat_x.zip/ann_w.ipynb", "cat"),
        ("{id}-{n}-{file}", "ben-1-2-3-ann.ipynb", "ben"),
    ],
)
def test_a_pattern_is_held_against_the_outermost_folders_first(pattern: str, path: str, student: str) -> None:
    """What lies in a student's container isn't told by the pattern any more."""
    owner = Owners(roster_from_text(ROSTER), pattern).owner(tuple(path.split("/")))
    assert not isinstance(owner, str)
    assert owner.id == student


def test_a_small_zip_fills_no_disk(folder: Path, tmp_path: Path, paper: Callable[[str, bool], bytes]) -> None:
    """What comes out of one zip is counted over all names and zips within: fifty million bytes, kept twice at most."""
    big = {f"{student}/week-3 ({n}).ipynb": b" " * 14_000_000 for student in ("ann", "ben", "cat") for n in range(9)}
    honest = paper("ann", True)
    big = {name: JUNK + os.urandom(16_000) + data for name, data in big.items()}
    put(tmp_path / "in", "class.zip", zipped(big), 50)
    put(tmp_path / "in", "ann.ipynb", honest, 10)
    found = collect(folder, "week-3", tmp_path / "in", now=LATER)
    written = sum(path.stat().st_size for path in folder.rglob("*.ipynb"))
    assert written < 110_000_000
    assert any("more than" in note for note in found.notes)
    assert scores(folder)["ann"] == 12


@pytest.mark.parametrize("pattern", ["{a}_{b}_{c}_{id}", "{id}_{name}", "{a}-{id}-{b}/{c}"])
def test_the_work_for_names_made_to_be_slow_grows_with_their_length(pattern: str) -> None:
    """Whatever the pattern: each part of a path is gone through once."""
    owners = Owners(roster_from_text(ROSTER), pattern)

    def took(size: int) -> float:
        started = time.perf_counter()
        for n in range(12):
            owners.owner(("_-" * size + str(n), "-_" * size + f"{n}!.ipynb"))
        return time.perf_counter() - started

    short, long = (min(took(size) for _ in range(3)) for size in (1_000, 8_000))
    assert long < 32 * short  # eight times the signs; gone through for each of them it would be 64 times the work
