"""What is said of marks that change: nobody's result changes in silence."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path

import pytest
from nbgrader.api import Gradebook

from calclib.class_files import class_folder
from calclib.class_files.roster import Student
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.judging_papers.changes import Change
from calclib.pages import write_feedback
from tests.small_class.started import NOW

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]
CONFIRMED = RulingRequest("failing", {"outcome": "confirmed"}, "Ten times the rate.", problem=1, student="ann")
STRICT = RulingRequest("marking", {"policy": "strict-exam"}, "It is an exam.")
HOUR = dt.timedelta(hours=1)


def tenfold(keys: Mapping[str, str], variable: str = "answer_1") -> dict[str, str]:
    """All answers right but one, which is ten times too large."""
    number = int(keys[variable].split()[0].replace(",", ""))
    return {**keys, variable: f"{10 * number} gtt/min"}


def reaches(folder: Path) -> dict[str, bool]:
    """Who reaches the cut score by the results as they are reported."""
    results = set_results(class_folder(folder), "week-3")
    return {one.student.id: results.reaches_cut(one) for one in results.marked}


def tried(folder: Path, wish: RulingRequest) -> dict[str, Change]:
    """What the preview of a ruling says, which is what the ruling then does."""
    before = reaches(folder)
    changes = make_ruling(folder, "week-3", wish, now=NOW, preview=True).marked.changes
    assert reaches(folder) == before
    assert make_ruling(folder, "week-3", wish, now=NOW).marked.changes == changes
    said = {one.student.id: (one.reached_before, one.reached_after) for one in changes}
    after = reaches(folder)
    assert said == {student: (before[student], after[student]) for student in said}
    assert {student for student in after if after[student] != before[student]} <= set(said)
    return {one.student.id: one for one in changes}


@pytest.fixture
def strict(folder: Path, hand_in: HandIn, keys: Keys) -> Path:
    """Ann made a tenfold error and has 11 of 12, Ben all right; the set becomes a strict exam, her error confirmed."""
    hand_in("ann", tenfold(keys["ann"]))
    hand_in("ben", keys["ben"])
    mark(folder, "week-3", now=NOW)
    change = tried(folder, STRICT)["ann"]
    assert (change.before, change.after, change.reached_before, change.reached_after) == (11, 11, True, False)
    assert (change.failed_after, change.waits_after) == (False, True)
    confirmed = tried(folder, CONFIRMED)["ann"]
    assert (confirmed.failed_after, confirmed.waits_after) == (True, False)
    return folder


def test_another_policy_tells_whom_an_error_fails(strict: Path) -> None:
    """Though the points stay the same; and withdrawn, whom it no longer fails."""
    change = tried(strict, RulingRequest("withdraw", {"number": "1"}, "It was homework."))["ann"]
    assert (change.failed_before, change.failed_after, change.before, change.after) == (True, False, 11, 11)
    assert [(one.slot, one.failed_before, one.failed_after) for one in change.answers] == [(1, True, False)]


@pytest.mark.parametrize(
    ("wish", "after"),
    [
        (RulingRequest("credit", {}, "Unclear.", problem=1), Fraction(12)),
        (RulingRequest("answer", {"points": "0.5"}, "The way is right.", problem=1, student="ann"), Fraction("11.5")),
        (RulingRequest("void", {}, "Not taught.", problem=1), Fraction(11)),
    ],
)
def test_a_ruling_tells_whose_failure_it_lifts(strict: Path, wish: RulingRequest, after: Fraction) -> None:
    """By credit, by points for one answer, and where the problem no longer counts."""
    change = tried(strict, wish)["ann"]
    assert (change.failed_before, change.failed_after, change.after) == (True, False, after)
    assert (change.reached_before, change.reached_after) == (False, True)


def test_points_by_hand_keep_an_error_from_failing_the_set(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """As in the results: whoever gave points for the answer looked at it."""
    hand_in("ann", tenfold(keys["ann"]))
    mark(folder, "week-3", now=NOW)
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        (notebook,) = gradebook.find_submission("week-3", "ann").notebooks
        grade = next(one for one in notebook.grades if one.auto_score == 0)
        grade.manual_score = 0.0
        gradebook.db.commit()
    assert tried(folder, STRICT) == {}


def test_a_void_problem_changes_the_share_of_those_who_had_it_wrong(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """11 of 12 become 11 of 11: a gain, though the points are the same; who had it right keeps the same share."""
    hand_in("ann", keys["ann"] | {"answer_1": ""})
    hand_in("ben", keys["ben"])
    hand_in("cat", {})
    mark(folder, "week-3", now=NOW)
    changes = tried(folder, RulingRequest("void", {}, "Not taught.", problem=1))
    assert {student: (one.after, one.after_of, one.gain) for student, one in changes.items()} == {
        "ann": (11, 11, Fraction(1, 12)),
        "ben": (11, 11, 0),
        "cat": (0, 11, 0),
    }


def test_a_resubmitted_notebook_is_told_apart(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """That its marks take the place of those given before is said in a preview and after marking, and stops neither."""
    hand_in("ann", {"answer_1": keys["ann"]["answer_1"]})
    hand_in("ben", keys["ben"])
    assert mark(folder, "week-3", now=NOW).resubmitted == ()
    hand_in("ann", keys["ann"])
    preview = mark(folder, "week-3", now=NOW, preview=True)
    done = mark(folder, "week-3", now=NOW, stop_at_changes=True)
    for found in (preview, done):
        assert (found.changed, found.changes) == (1, ())
        assert [(one.change.student.id, one.change.before, one.change.after) for one in found.resubmitted] == [
            ("ann", 1, 12)
        ]
        assert [(one.attempt, one.feedback) for one in found.resubmitted] == [(0, None)]
    assert not done.undone
    assert mark(folder, "week-3", now=NOW).resubmitted == ()


def test_feedback_that_was_there_before_is_told(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """It prints the answers, so whoever resubmits may have read them: with the times of both."""
    hand_in("ann", {"answer_1": keys["ann"]["answer_1"]})
    mark(folder, "week-3", now=NOW)
    page = write_feedback(folder, "week-3").pages["ann"]
    os.utime(page, (NOW.timestamp(), NOW.timestamp()))
    path = hand_in("ann", keys["ann"])
    path.with_name("timestamp.txt").write_text(f"{NOW + HOUR:%Y-%m-%d %H:%M:%S.%f} UTC\n")
    (one,) = mark(folder, "week-3", now=NOW + 2 * HOUR, preview=True).resubmitted
    assert (one.feedback, one.time) == (NOW, NOW + HOUR)


@pytest.mark.parametrize(("points", "reached"), [("8", True), ("7.99", False)])
def test_exactly_the_cut_score_is_enough(points: str, reached: bool) -> None:
    """Of ten points, of which 80 % are needed: before a change as after it."""
    ten, cut = Fraction(10), Fraction(80)
    becomes = Change(Student("ann", "Ann Ash"), Fraction(0), Fraction(points), (), ten, ten, False, False, cut)
    was = Change(Student("ann", "Ann Ash"), Fraction(points), Fraction(0), (), ten, ten, False, False, cut)
    assert (becomes.reached_before, becomes.reached_after) == (False, reached)
    assert (was.reached_before, was.reached_after) == (reached, False)
