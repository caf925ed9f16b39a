import datetime as dt
import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from nbgrader.api import Gradebook

from calclib.class_files import class_folder
from calclib.errors import BadInput
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, waiting, write_feedback
from calclib.records import in_force, marks_of, reading, rulings_of
from calclib.records.people import pseudonyms
from tests.small_class.started import NOW

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]
WHY = "The unit stands in the margin."


def score(folder: Path, student: str) -> float:
    """The score as nbgrader itself adds it up."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        return float(gradebook.find_submission("week-3", student).score)


def earned(folder: Path, student: str, place: int) -> Fraction:
    """Points recorded for one answer, by its place in the set from 0."""
    with reading(class_folder(folder)) as connection:
        return marks_of(connection, "week-3")[pseudonyms(connection)[student]][place].earned


def test_a_ruling_on_one_answer_gives_its_points_and_settles_it(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """It has the given points in both records, and no longer waits for a person."""
    hand_in("ann", keys["ann"] | {"answer_1": "about a lot"})
    assert mark(folder, "week-3", now=NOW).waiting == 1
    done = make_ruling(
        folder, "week-3", RulingRequest("answer", {"points": "0.5"}, WHY, problem=1, student="ann"), now=NOW
    )
    assert [(one.student.id, one.before, one.after) for one in done.marked.changes] == [("ann", 11, Fraction(23, 2))]
    assert (score(folder, "ann"), done.marked.waiting) == (11.5, 0)


def test_a_ruling_survives_marking_again(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """As long as the same text stands in the cell; on another text it is passed over, and that is said."""
    hand_in("ann", {"answer_1": "about a lot"})
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("answer", {"points": "1"}, WHY, problem=1, student="ann"), now=NOW)
    hand_in("ann", {"answer_1": "about a lot", "answer_2": keys["ann"]["answer_2"]})
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 2
    hand_in("ann", {"answer_1": "quite a lot"})
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 0
    assert "Ruling 1 was on another text" in waiting(folder, "week-3").text


def test_a_preview_writes_nothing(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """It says who would gain, and neither ruling nor mark nor history is there after it."""
    hand_in("ann", {"answer_1": "about a lot"})
    mark(folder, "week-3", now=NOW)
    wish = RulingRequest("credit", {}, WHY, problem=1)
    tried = make_ruling(folder, "week-3", wish, now=NOW, preview=True)
    assert [one.after - one.before for one in tried.marked.changes] == [1]
    with reading(class_folder(folder)) as connection:
        assert rulings_of(connection, "week-3") == ()
    assert score(folder, "ann") == 0


def test_credit_goes_to_everyone_who_handed_in(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Whatever was typed; who handed in nothing has no row."""
    hand_in("ann", {})
    hand_in("ben", keys["ben"])
    mark(folder, "week-3", now=NOW)
    done = make_ruling(folder, "week-3", RulingRequest("credit", {}, WHY, problem=3), now=NOW)
    assert [one.student.id for one in done.marked.changes] == ["ann"]
    assert (score(folder, "ann"), score(folder, "ben")) == (6, 12)


def test_a_void_problem_counts_for_nobody(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Points and the total of the set go down in both records; taking the ruling back restores them."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("void", {}, WHY, problem=3), now=NOW)
    results = set_results(class_folder(folder), "week-3")
    assert (results.sealed.points, results.percent(results.judged[0])) == (6, 100)
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        assert gradebook.find_assignment("week-3").max_score == 6
    assert score(folder, "ann") == 6
    make_ruling(folder, "week-3", RulingRequest("withdraw", {"number": "1"}, "Wrong problem."), now=NOW)
    assert (score(folder, "ann"), set_results(class_folder(folder), "week-3").sealed.points) == (12, 12)


def test_an_accepted_text_is_right_for_everyone(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Case, spaces and a period at the end don't matter."""
    hand_in("ann", {"answer_1": "About  a lot."})
    hand_in("ben", {"answer_1": "something else"})
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("text", {"text": "about a lot"}, WHY, problem=1), now=NOW)
    assert (score(folder, "ann"), score(folder, "ben")) == (1, 0)


@pytest.mark.parametrize(("amount", "gains"), [("1", True), ("0.5", False), ("50%", True), ("0.01%", False)])
def test_numbers_near_the_key_can_be_accepted(
    folder: Path, hand_in: HandIn, keys: Keys, amount: str, gains: bool
) -> None:
    """The distance is from each student's own key, in the unit asked or in per cent of it."""
    number = int(keys["ann"]["answer_1"].split()[0].replace(",", ""))
    hand_in("ann", {"answer_1": f"{number + 1} gtt/min"})
    mark(folder, "week-3", now=NOW)
    before = score(folder, "ann")
    make_ruling(folder, "week-3", RulingRequest("within", {"amount": amount}, WHY, problem=1), now=NOW)
    assert (score(folder, "ann") == 1) == gains
    assert (score(folder, "ann") == before) != gains


def test_an_interval_can_be_accepted_from_one_student(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Another student's same answer isn't accepted by it."""
    for student in ("ann", "ben"):
        hand_in(student, {"answer_1": "997 gtt/min"})
    mark(folder, "week-3", now=NOW)
    wish = RulingRequest("between", {"low": "996", "high": "998"}, WHY, problem=1, student="ann")
    make_ruling(folder, "week-3", wish, now=NOW)
    assert (score(folder, "ann"), score(folder, "ben")) == (1, 0)


def test_a_notebook_that_was_set_aside_can_be_taken(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """It is judged by the student's own record; another notebook that is set aside later isn't."""

    def bare(notebook: dict[str, object]) -> None:
        notebook["metadata"] = {}

    hand_in("ann", keys["ann"], change=bare)
    assert mark(folder, "week-3", now=NOW).aside
    make_ruling(folder, "week-3", RulingRequest("take", {}, "She copied it.", student="ann"), now=NOW)
    assert score(folder, "ann") == 12
    hand_in("ann", keys["ann"] | {"answer_1": ""}, change=bare)
    assert mark(folder, "week-3", now=NOW).aside
    assert score(folder, "ann") == 0


def test_a_notebook_that_stays_set_aside_waits_no_longer(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """One ruling for all of its answers, with 0 points; the next notebook of the student is marked as ever."""
    hand_in("ann", keys["ben"], of="ben")
    assert mark(folder, "week-3", now=NOW).waiting == 9
    done = make_ruling(folder, "week-3", RulingRequest("leave", {}, "It is Ben's.", student="ann"), now=NOW)
    assert (done.marked.waiting, score(folder, "ann")) == (0, 0)
    assert waiting(folder, "week-3").answers == 0
    assert mark(folder, "week-3", now=NOW).waiting == 0
    said = " ".join(explanation(folder, "week-3", "ann", 1).split())
    assert "The notebook stays set aside, and gets no points. Reason: It is Ben's." in said
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 12
    hand_in("ann", keys["cat"], of="cat")
    assert mark(folder, "week-3", now=NOW).waiting == 9


def test_a_notebook_that_cant_be_read_cant_be_taken(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """The sentence says what can be done instead."""
    path = hand_in("ann", keys["ann"])
    path.write_bytes(path.read_bytes()[:-40])
    mark(folder, "week-3", now=NOW)
    with pytest.raises(BadInput, match=r"can't be marked, since it isn't well-formed.*resubmitted"):
        make_ruling(folder, "week-3", RulingRequest("take", {}, "It is hers.", student="ann"), now=NOW)


def test_what_a_ruling_accepts_is_no_other_path(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """The explanation doesn't say that the rounding policy allows it."""
    hand_in("ann", {"answer_1": "997 gtt/min"})
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("between", {"low": "996", "high": "998"}, WHY, problem=1), now=NOW)
    assert score(folder, "ann") == 1
    assert "another way" not in explanation(folder, "week-3", "ann", 1)


def test_another_marking_policy_marks_the_set_again(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Who loses by a stricter policy is told before, and the policy is kept with the ruling."""
    number = keys["ann"]["answer_1"].split()[0]
    hand_in("ann", {"answer_1": number})
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 0.75
    wish = RulingRequest("marking", {"policy": "strict-exam"}, "It is an exam.")
    (change,) = make_ruling(folder, "week-3", wish, now=NOW, preview=True).marked.changes
    assert change.after < change.before
    make_ruling(folder, "week-3", wish, now=NOW)
    assert score(folder, "ann") == float(change.after)
    assert set_results(class_folder(folder), "week-3").sealed.marking == "strict-exam"


def test_a_later_ruling_goes_over_an_earlier_one(folder: Path, hand_in: HandIn) -> None:
    """In the order of their numbers."""
    hand_in("ann", {"answer_1": "about a lot"})
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("answer", {"points": "0"}, WHY, problem=1, student="ann"), now=NOW)
    make_ruling(folder, "week-3", RulingRequest("credit", {}, WHY, problem=1), now=NOW)
    assert earned(folder, "ann", 0) == 1


WRONG: dict[str, tuple[RulingRequest, str]] = {
    "no reason": (RulingRequest("credit", {}, " ", problem=1), "needs a reason"),
    "no problem": (RulingRequest("credit", {}, WHY), "Which problem"),
    "unknown problem": (RulingRequest("credit", {}, WHY, problem=9), "has no problem 9"),
    "which part": (RulingRequest("answer", {"points": "1"}, WHY, problem=3, student="ann"), "several parts"),
    "unknown part": (RulingRequest("credit", {}, WHY, problem=3, part="dose"), "has no part 'dose'"),
    "unknown student": (RulingRequest("answer", {"points": "1"}, WHY, problem=1, student="zoe"), "No student"),
    "no student": (RulingRequest("answer", {"points": "1"}, WHY, problem=1), "Which student"),
    "too many points": (RulingRequest("answer", {"points": "2"}, WHY, problem=1, student="ann"), "worth at most 1"),
    "no number": (RulingRequest("answer", {"points": "one"}, WHY, problem=1, student="ann"), "takes a number"),
    "credit to one": (RulingRequest("credit", {}, WHY, problem=1, student="ann"), "applies to everyone"),
    "not aside": (RulingRequest("take", {}, WHY, student="ann"), "isn't set aside"),
    "not marked": (RulingRequest("take", {}, WHY, student="cat"), "No work by cat was marked"),
    "no such ruling": (RulingRequest("withdraw", {"number": "7"}, WHY), "No ruling 7"),
    "no such policy": (RulingRequest("marking", {"policy": "kind"}, WHY), "kind"),
    "a number for a choice": (
        RulingRequest("within", {"amount": "1"}, WHY, problem=4, part="verdict"),
        "doesn't ask for",
    ),
    "turned around": (RulingRequest("between", {"low": "2", "high": "1"}, WHY, problem=1), "must not be larger"),
}


def test_a_ruling_on_what_is_not_there_is_refused(folder: Path, hand_in: HandIn) -> None:
    """Each in one sentence, and nothing is recorded."""
    hand_in("ann", {})
    mark(folder, "week-3", now=NOW)
    for wish, words in WRONG.values():
        with pytest.raises(BadInput, match=words):
            make_ruling(folder, "week-3", wish, now=NOW)
    with reading(class_folder(folder)) as connection:
        assert in_force(rulings_of(connection, "week-3")) == ()


def test_feedback_and_explanation_show_the_ruling(folder: Path, hand_in: HandIn) -> None:
    """With its day and its reason."""
    hand_in("ann", {"answer_1": "about a lot"})
    mark(folder, "week-3", now=NOW)
    make_ruling(
        folder, "week-3", RulingRequest("answer", {"points": "1"}, WHY, problem=1, student="ann", by="Dr Elm"), now=NOW
    )
    write_feedback(folder, "week-3")
    page = class_folder(folder).feedback("week-3", "ann").read_text(encoding="utf-8")
    words = explanation(folder, "week-3", "ann", 1)
    for text in (page, words):
        assert "November 25, 2026" in text
        assert WHY in text
    assert "Typed: “about a lot”" in words
    assert "by Dr Elm" in words
    assert "Problem 2" not in words


def test_marking_stops_where_given_marks_would_change(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Asked to, it writes nothing; a notebook that is new is no reason to stop."""
    hand_in("ann", keys["ann"])
    path = class_folder(folder).submitted("week-3", "ann").with_name("timestamp.txt")
    assert not mark(folder, "week-3", now=NOW, stop_at_changes=True).undone
    due = (NOW - dt.timedelta(hours=1)).isoformat()
    path.write_text("2026-11-25 09:00:00.000000 UTC\n")
    with reading(class_folder(folder)) as connection:
        connection.exec_driver_sql("update calclib_set set late_percent = 10, due = ?", (due,))
        connection.commit()
    found = mark(folder, "week-3", now=NOW, stop_at_changes=True)
    assert (found.undone, [one.after for one in found.changes]) == (True, [Fraction("10.8")])
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        (notebook,) = gradebook.find_submission("week-3", "ann").notebooks
        assert notebook.late_submission_penalty is None
    assert not mark(folder, "week-3", now=NOW).undone


def test_history_names_the_versions(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Which policies and item models, of which version, marked what."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    with reading(class_folder(folder)) as connection:
        rows = connection.exec_driver_sql("select event, detail from calclib_history order by id").all()
    judged = json.loads(next(row.detail for row in rows if row.event == "judged"))
    marked = json.loads(next(row.detail for row in rows if row.event == "marked"))
    assert (judged["points"], judged["attempt"], judged["basis"]) == ("12", 1, marked["basis"])
    assert marked["marking"].startswith("homework ")
    assert set(marked["models"]) == {"drop-rate", "secondary-infusion-entries", "safe-dose-range", "infusion-end-time"}
