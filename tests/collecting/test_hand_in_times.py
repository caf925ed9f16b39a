import datetime as dt
import json
import os
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.collecting import collect
from calclib.collecting.hand_in_times import labelled_time
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import waiting
from calclib.releasing import hand_out
from tests.small_class.started import NOW

HOUR = dt.timedelta(hours=1)
DUE = NOW + 24 * HOUR
AFTER = NOW + 100 * HOUR
EXAM = f"""set = "exam"
title = "Exam"
rounding = "tenths-and-wholes"
marking = "homework"
due = {DUE.isoformat()}
late = "10 percent a day"
[[items]]
item = "drop-rate"
points = 10
"""


@pytest.fixture
def exam(folder: Path, tmp_path: Path) -> Path:
    """The class with an exam that was due 24 hours after it went out."""
    (tmp_path / "exam.toml").write_text(EXAM, encoding="utf-8")
    hand_out(folder, tmp_path / "exam.toml", now=NOW)
    return folder


def answered(folder: Path, student: str, text: str) -> bytes:
    """A student's exam with an answer typed in."""
    notebook = json.loads(class_folder(folder).rendered("exam", student).read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        if "".join(cell["source"]).startswith("answer_1 ="):
            cell["source"] = [f'answer_1 = "{text}"']
    return json.dumps(notebook).encode()


def put(inbox: Path, path: str, data: bytes, hours: float) -> None:
    """A file whose time lies so many hours after the set was handed out."""
    target = inbox / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)
    when = (NOW + hours * HOUR).timestamp()
    os.utime(target, (when, when))


def local(hours: float, form: str) -> str:
    """A time so many hours after the set was handed out as a system in this time zone writes it."""
    return (NOW + hours * HOUR).astimezone().strftime(form)


def lost(folder: Path) -> Mapping[str, bool]:
    """Of each marked student, whether the exam came in late."""
    mark(folder, "exam", now=AFTER)
    results = set_results(class_folder(folder), "exam")
    return {one.student.id: one.time is not None and one.time > DUE for one in results.marked}


def test_a_time_inside_of_a_zip_never_beats_the_zips_own(exam: Path, tmp_path: Path) -> None:
    """Whoever sets a clock back and packs the notebook is as late as the zip is."""
    when = (NOW + HOUR).astimezone()
    entry = zipfile.ZipInfo("exam.ipynb", when.timetuple()[:6])
    (tmp_path / "in").mkdir()
    with zipfile.ZipFile(tmp_path / "in" / "ann.zip", "w") as archive:
        archive.writestr(entry, answered(exam, "ann", "1 gtt/min"))
    put(tmp_path / "in", "ann.zip", (tmp_path / "in" / "ann.zip").read_bytes(), 30)
    put(tmp_path / "in", "ben.ipynb", answered(exam, "ben", "1 gtt/min"), 20)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    assert lost(exam) == {"ann": True, "ben": False}


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        ({"ann": -5, "ben": 20}, "has an impossible time"),
        ({"ann": 200, "ben": 20}, "has an impossible time"),
        ({"ann": 30, "ben": 30}, "have the same time"),
        ({"ann": 30, "ben": 30.0003, "cat": 30.0004}, "have the same time"),
    ],
)
def test_a_time_that_cant_be_is_not_believed_and_a_person_decides(
    exam: Path, tmp_path: Path, hours: Mapping[str, float], words: str
) -> None:
    """It is said, the hand-in is taken, nobody is late by it, review asks, and one ruling settles it."""
    for student, each in hours.items():
        put(tmp_path / "in", f"{student}/exam.ipynb", answered(exam, student, "1 gtt/min"), each)
    found = collect(exam, "exam", tmp_path / "in", now=AFTER)
    assert len(found.new) == len(hours)
    assert any(words in note for note in found.notes)
    assert not any(lost(exam).values())
    result = mark(exam, "exam", now=AFTER)
    assert result.times_waiting == (1 if "impossible" in words else len(hours))
    text = waiting(exam, "exam").text
    assert "Ann Ash (ann): when it was handed in isn't known" in text
    assert "--student ann --in-time" in text
    late = RulingRequest("time", {"time": (NOW + 30 * HOUR).isoformat()}, "The LMS says so.", student="ann")
    make_ruling(exam, "exam", late, now=AFTER)
    assert lost(exam)["ann"]
    assert "Ann Ash (ann): when" not in waiting(exam, "exam").text
    make_ruling(exam, "exam", RulingRequest("time", {"time": ""}, "Nobody was late."), now=AFTER)
    assert not any(lost(exam).values())
    assert "when it was handed in isn't known" not in waiting(exam, "exam").text


def test_what_is_collected_by_the_due_time_is_in_time_whatever_its_file_says(exam: Path, tmp_path: Path) -> None:
    """Nothing waits for a person that can be told."""
    put(tmp_path / "in", "ann/exam.ipynb", answered(exam, "ann", "1 gtt/min"), -5)
    collect(exam, "exam", tmp_path / "in", now=DUE)
    assert mark(exam, "exam", now=AFTER).times_waiting == 0
    assert not lost(exam)["ann"]


FORMS = (
    "%Y-%m-%d-%H-%M-%S",
    "%Y-%m-%d %H.%M.%S",
    "%Y%m%dT%H%M%S",
    "%b %d, %Y %I%M %p",
    "%d %B, %Y %I:%M %p",
)


@pytest.mark.parametrize("form", FORMS)
def test_the_time_in_a_systems_name_is_read_and_beats_that_of_the_file(exam: Path, tmp_path: Path, form: str) -> None:
    """All files were unpacked at one time long after; each is as late as its name says."""
    for student, hours in {"ann": 20, "ben": 30, "cat": 23}.items():
        name = f"8812-99 - {student} - {local(hours, form)} - x.ipynb"
        put(tmp_path / "in", name, answered(exam, student, "1 gtt/min"), 90)
    assert collect(exam, "exam", tmp_path / "in", now=AFTER).notes == ()
    assert lost(exam) == {"ann": False, "ben": True, "cat": False}
    assert mark(exam, "exam", now=AFTER).times_waiting == 0


def test_a_time_that_one_student_alone_wrote_into_a_name_is_passed_over(exam: Path, tmp_path: Path) -> None:
    """It is no system's; the file's own time counts."""
    name = f"ann_attempt_{local(2, '%Y-%m-%d-%H-%M-%S')}_exam.ipynb"
    put(tmp_path / "in", name, answered(exam, "ann", "1 gtt/min"), 30)
    put(tmp_path / "in", "ben_exam.ipynb", answered(exam, "ben", "1 gtt/min"), 20)
    put(tmp_path / "in", "cat_exam.ipynb", answered(exam, "cat", "1 gtt/min"), 21)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    assert lost(exam) == {"ann": True, "ben": False, "cat": False}


def test_a_hand_in_that_the_system_marks_as_late_waits_where_its_file_says_otherwise(
    exam: Path, tmp_path: Path
) -> None:
    """Neither is believed blindly."""
    put(tmp_path / "in", "annash_ann_LATE_8812_99_exam.ipynb", answered(exam, "ann", "1 gtt/min"), 20)
    put(tmp_path / "in", "ben_8813_98_exam.ipynb", answered(exam, "ben", "1 gtt/min"), 21)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    assert mark(exam, "exam", now=AFTER).times_waiting == 1
    assert "but the system marks it as late" in waiting(exam, "exam").text


def test_a_newer_upload_counts_although_unpacking_gave_the_older_the_later_time(exam: Path, tmp_path: Path) -> None:
    """By the times in the names; and where a later collecting brings another one, a person is told."""
    for hours, text, unpacked in ((10, "1 gtt/min", 90), (12, "2 gtt/min", 80)):
        name = f"ann_attempt_{local(hours, '%Y-%m-%d-%H-%M-%S')}_exam.ipynb"
        put(tmp_path / "in", name, answered(exam, "ann", text), unpacked)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    assert b"2 gtt/min" in class_folder(exam).submitted("exam", "ann").read_bytes()


def test_two_of_one_time_are_asked_about_and_one_command_settles_it(exam: Path, tmp_path: Path) -> None:
    """Which is the later can't be told: review lists the other, and it can be taken."""
    put(tmp_path / "in", "ann/exam.ipynb", answered(exam, "ann", "1 gtt/min"), 20)
    put(tmp_path / "in", "ann/exam (1).ipynb", answered(exam, "ann", "2 gtt/min"), 20)
    found = collect(exam, "exam", tmp_path / "in", now=AFTER)
    assert any("their times don't tell which is the later" in note for note in found.notes)
    assert b"2 gtt/min" in class_folder(exam).submitted("exam", "ann").read_bytes()
    mark(exam, "exam", now=AFTER)
    (path,) = (exam / "questioned" / "ann" / "exam").glob("*.json")
    assert f"--take-hand-in {path.stem}" in waiting(exam, "exam").text
    taken = RulingRequest("hand_in", {"sign": path.stem, "outcome": "taken"}, "She says so.", student="ann")
    make_ruling(exam, "exam", taken, now=AFTER)
    assert b"1 gtt/min" in class_folder(exam).submitted("exam", "ann").read_bytes()
    assert "Nothing waits" in waiting(exam, "exam").text
    assert collect(exam, "exam", tmp_path / "in", now=AFTER + HOUR).new == ()
    assert b"1 gtt/min" in class_folder(exam).submitted("exam", "ann").read_bytes()


def test_a_later_collecting_with_an_earlier_time_is_asked_about(exam: Path, tmp_path: Path) -> None:
    """The file that counts may have the time of its unpacking."""
    put(tmp_path / "one", "ann/exam.ipynb", answered(exam, "ann", "1 gtt/min"), 22)
    collect(exam, "exam", tmp_path / "one", now=NOW + 23 * HOUR)
    put(tmp_path / "two", "ann/exam.ipynb", answered(exam, "ann", "2 gtt/min"), 21)
    found = collect(exam, "exam", tmp_path / "two", now=AFTER)
    assert any("calclib review asks which" in note for note in found.notes)
    assert len(list((exam / "questioned" / "ann" / "exam").glob("*.json"))) == 1


@pytest.mark.parametrize(
    ("name", "hours"),
    [
        ("exam_ann_attempt_{:%Y-%m-%d-%H-%M-%S}_w1.ipynb", 5),
        ("8812-9931 - Ann Ash - {:%b %d, %Y %I%M %p}", 5),
        ("Ann Ash {:%Y-%m-%dT%H:%M:%S}", 5),
        ("ann_20128812_9931_exam", None),
        ("week-3 2026 (12)", None),
        ("2026-99-99-10-00-00", None),
    ],
)
def test_a_time_in_a_name_is_told_from_other_numbers(name: str, hours: int | None) -> None:
    """In this machine's time zone."""
    when = (NOW + 5 * HOUR).astimezone()
    assert labelled_time(name.format(when)) == (None if hours is None else NOW + hours * HOUR)
