"""An error of the program while marking: it costs no more than the answer in which it happens."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import finding, judging_by_keys
from calclib.answers.verdict import PartVerdict
from calclib.class_files import class_folder
from calclib.judging_papers import RulingRequest, bound_answers, judged_paper, make_ruling, mark, marking_run
from calclib.pages import waiting
from calclib.records import PartMark, SetAsideKind, marks_of, reading
from calclib.records.people import pseudonyms
from tests.small_class.started import NOW

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]
# Problems 1 and 2 of the set are drawn from one item model, in which the errors are planted.
PLANTED = (1, 2)


def marks(folder: Path, student: str) -> tuple[PartMark, ...]:
    """The recorded marks of one student."""
    with reading(class_folder(folder)) as connection:
        return marks_of(connection, "week-3").get(pseudonyms(connection)[student], ())


def fails_at(real: Any, at: Callable[..., bool]) -> Any:
    """A stage that fails where `at` says so, and works elsewhere."""

    def stage(*given: Any, **named: Any) -> Any:
        if at(*given, **named):
            raise ValueError("planted")
        return real(*given, **named)

    return stage


STAGES: dict[str, tuple[Any, str, Callable[..., bool]]] = {
    "finding the cell": (bound_answers, "_bound", lambda place, *_: place.slot == 1),
    "reading the record": (judged_paper, "accepting_by_rulings", lambda item, slot, *_: slot == 1),
    "judging the number": (finding, "number_status", lambda part, *_: part.unit == "gtt/min"),
    "judging the problem": (judging_by_keys, "judge_item", lambda item, *_, **__: "gtt/mL" in item.stem),
    "writing the verdict": (PartVerdict, "to_record", lambda verdict: verdict.part == "drops"),
}


@pytest.mark.parametrize("stage", STAGES)
def test_an_error_in_one_problem_costs_no_other(
    folder: Path, hand_in: HandIn, keys: Keys, monkeypatch: pytest.MonkeyPatch, stage: str
) -> None:
    """The answer waits for a person with the kind of error, the others have their points, and so has the class."""
    module, name, at = STAGES[stage]
    hand_in("ann", keys["ann"])
    monkeypatch.setattr(module, name, fails_at(getattr(module, name), at))
    found = mark(folder, "week-3", now=NOW)
    assert found.aside == ()
    first, *_ = found_marks = marks(folder, "ann")
    others = [one for one in found_marks if one.slot not in PLANTED]
    assert (first.verdict, first.score, first.needs_person) == ("not_judged", 0, True)
    assert first.detail["error"] == "ValueError"
    assert first.typed
    assert [one.right for one in others] == [True] * 7
    told = waiting(folder, "week-3").text
    assert "An error in this program (ValueError) kept this answer from being judged." in " ".join(told.split())


def test_an_error_in_one_hand_in_costs_no_other(
    folder: Path, hand_in: HandIn, keys: Keys, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A notebook at which even reading fails is set aside; the next student is marked."""
    hand_in("ann", keys["ann"])
    hand_in("ben", keys["ben"])
    at = lambda where, path, papers, student, *_: student.id == "ann"  # noqa: E731 - as in the table above
    monkeypatch.setattr(marking_run, "handed_in", fails_at(marking_run.handed_in, at))
    found = mark(folder, "week-3", now=NOW)
    ((student, reason),) = found.aside
    assert (student.id, reason.kind, reason.about) == ("ann", SetAsideKind.PROGRAM_ERROR, "ValueError")
    assert all(one.right for one in marks(folder, "ben"))


def test_a_ruling_that_fails_leaves_the_mark_to_a_person(
    folder: Path, hand_in: HandIn, keys: Keys, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the answers that it covers wait."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("credit", {}, "It was unclear.", problem=1), now=NOW)
    monkeypatch.setattr(judged_paper, "ruled", fails_at(judged_paper.ruled, lambda mark, *_: mark.slot == 1))
    mark(folder, "week-3", now=NOW)
    assert [one.verdict for one in marks(folder, "ann") if one.slot == 1] == ["not_judged"]
    assert all(one.right for one in marks(folder, "ann") if one.slot != 1)
