"""A ruling that takes a hand-in, stopped anywhere or beside another run: what counts is what somebody ruled on."""

from __future__ import annotations

import shutil
import threading
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.collecting import collect
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.records import reading
from calclib.records.rulings.ruling import in_force, rulings_of
from tests.collecting.test_hand_in_times import AFTER, HOUR, answered, exam, put
from tests.small_class.killed import counted, killed_at

__all__ = ["exam"]


def _marked_on(folder: Path) -> bytes:
    return class_folder(folder).submitted("exam", "ann").read_bytes()


def _stopped_everywhere(exam: Path, before: bytes, share: int) -> None:
    (path,) = (exam / "questioned" / "ann" / "exam").glob("*.json")
    after = path.with_suffix(".ipynb").read_bytes()
    request = RulingRequest("hand_in", {"sign": path.stem, "outcome": "taken"}, "She says so.", student="ann")
    tried = exam.with_name("tried")

    def work() -> None:
        make_ruling(tried, "exam", request, now=AFTER)

    shutil.copytree(exam, tried)
    points = counted(work)
    ends = set()
    for number in range(1, points + 1, max(1, points // share)):
        shutil.rmtree(tried)
        shutil.copytree(exam, tried)
        assert killed_at(work, number)
        mark(tried, "exam", now=AFTER + HOUR)
        with reading(class_folder(tried)) as connection:
            ruled = any(one.kind == "hand_in" for one in in_force(rulings_of(connection, "exam")))
        assert _marked_on(tried) == (after if ruled else before), number
        assert not list(tried.glob("taking-*")), number
        ends.add(ruled)
    assert False in ends


@pytest.mark.parametrize("share", [12, pytest.param(10_000, marks=pytest.mark.full)])
def test_a_stopped_ruling_takes_no_hand_in(exam: Path, tmp_path: Path, share: int) -> None:
    """Marked again, the set has the hand-in and its ruling, or neither: what lay there before is put back."""
    put(tmp_path / "in", "ann/exam.ipynb", answered(exam, "ann", "1 gtt/min"), 20)
    put(tmp_path / "in", "ann/exam (1).ipynb", answered(exam, "ann", "2 gtt/min"), 20)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    mark(exam, "exam", now=AFTER)
    _stopped_everywhere(exam, _marked_on(exam), share)


def test_a_stopped_ruling_leaves_no_notebook_where_there_was_none(exam: Path, tmp_path: Path) -> None:
    """Whoever had handed in nothing hasn't by a ruling that never came to be."""
    put(tmp_path / "in", "ann/exam.ipynb", answered(exam, "ann", "1 gtt/min"), 20)
    put(tmp_path / "in", "ann/exam (1).ipynb", answered(exam, "ann", "2 gtt/min"), 20)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    mark(exam, "exam", now=AFTER)
    (path,) = (exam / "questioned" / "ann" / "exam").glob("*.json")
    shutil.rmtree(class_folder(exam).submitted("exam", "ann").parent)
    request = RulingRequest("hand_in", {"sign": path.stem, "outcome": "taken"}, "She says so.", student="ann")
    before = exam.with_name("tried")
    shutil.copytree(exam, before)
    points = counted(lambda: make_ruling(before, "exam", request, now=AFTER))
    shutil.rmtree(before)
    for number in (points // 3, 2 * points // 3):
        shutil.copytree(exam, before)
        assert killed_at(lambda: make_ruling(before, "exam", request, now=AFTER), number)
        mark(before, "exam", now=AFTER + HOUR)
        assert not class_folder(before).submitted("exam", "ann").exists()
        shutil.rmtree(before)


def test_who_marks_while_a_hand_in_is_taken_undoes_nothing(exam: Path, tmp_path: Path) -> None:
    """Marking waits for the ruling that is being made, and finds it: its hand-in is no leftover of a stopped run."""
    put(tmp_path / "in", "ann/exam.ipynb", answered(exam, "ann", "1 gtt/min"), 20)
    put(tmp_path / "in", "ann/exam (1).ipynb", answered(exam, "ann", "2 gtt/min"), 20)
    collect(exam, "exam", tmp_path / "in", now=AFTER)
    mark(exam, "exam", now=AFTER)
    (path,) = (exam / "questioned" / "ann" / "exam").glob("*.json")
    taken = path.with_suffix(".ipynb").read_bytes()
    request = RulingRequest("hand_in", {"sign": path.stem, "outcome": "taken"}, "She says so.", student="ann")
    in_its_place, other_begun = threading.Event(), threading.Event()

    def halfway(_done: int, _of: int, _name: str) -> None:
        in_its_place.set()
        other_begun.wait(20)

    ruling = threading.Thread(
        target=make_ruling, args=(exam, "exam", request), kwargs={"now": AFTER, "progress": halfway}
    )
    ruling.start()
    assert in_its_place.wait(20)
    assert _marked_on(exam) == taken
    other_begun.set()
    mark(exam, "exam", now=AFTER + HOUR)
    ruling.join()
    assert _marked_on(exam) == taken
    with reading(class_folder(exam)) as connection:
        assert any(one.kind == "hand_in" for one in in_force(rulings_of(connection, "exam")))
