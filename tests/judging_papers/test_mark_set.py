import datetime as dt
import json
import os
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from nbgrader.api import Grade, Gradebook
from sqlalchemy import MetaData, select

from calclib.class_files import Accommodations, Student, class_folder
from calclib.collecting import collect
from calclib.errors import BadInput
from calclib.judging_papers import mark
from calclib.records import PartMark, SealedSet, marks_of, reading, set_aside
from calclib.records.lateness import due_of, late_share
from calclib.records.people import pseudonyms
from calclib.records.set_aside_facts import for_faculty, for_the_student
from calclib.releasing import hand_out
from calclib.wording import sentence
from tests.small_class.started import BLUEPRINT, NOW

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]
FULL = 12.0


def score(folder: Path, student: str) -> float:
    """The score as nbgrader itself adds it up."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        return float(gradebook.find_submission("week-3", student).score)


def marks(folder: Path, student: str) -> tuple[PartMark, ...]:
    """The recorded marks of one student."""
    with reading(class_folder(folder)) as connection:
        return marks_of(connection, "week-3").get(pseudonyms(connection)[student], ())


def grades(folder: Path, student: str) -> dict[str, tuple[float | None, bool]]:
    """Automatic score and flag of each check cell in nbgrader's gradebook."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        (notebook,) = gradebook.find_submission("week-3", student).notebooks
        return {grade.name: (grade.auto_score, grade.needs_manual_grade) for grade in notebook.grades}


def rows(folder: Path) -> dict[str, list[tuple[object, ...]]]:
    """All rows of the database."""
    with reading(class_folder(folder)) as connection:
        tables = MetaData()
        tables.reflect(connection)
        return {name: sorted(map(tuple, connection.execute(select(t))), key=str) for name, t in tables.tables.items()}


def test_right_answers_earn_all_points(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """The key typed into each answer cell is full marks, in our records and in nbgrader's gradebook."""
    for student, answers in keys.items():
        hand_in(student, answers)
    found = mark(folder, "week-3", now=NOW)
    assert (found.marked, found.waiting, found.aside, found.missing) == (3, 0, (), ())
    assert {student: score(folder, student) for student in keys} == dict.fromkeys(keys, FULL)
    assert all(one.verdict == "right" for one in marks(folder, "ann"))


def test_a_blank_notebook_earns_nothing(folder: Path, hand_in: HandIn) -> None:
    """Every check cell gets an explicit 0, none is left to nbgrader's full marks, and each answer cell its comment."""
    hand_in("ann", {})
    mark(folder, "week-3", now=NOW)
    found = grades(folder, "ann")
    assert len(found) == 9
    assert set(found.values()) == {(0.0, False)}
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        (notebook,) = gradebook.find_submission("week-3", "ann").notebooks
        assert {comment.auto_comment for comment in notebook.comments} == {"No response."}


def test_each_answer_is_judged_by_the_students_own_numbers(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Another student's right answers are wrong, where the numbers differ."""
    hand_in("ann", keys["ben"])
    mark(folder, "week-3", now=NOW)
    same = [keys["ann"][name] == keys["ben"][name] for name in keys["ann"]]
    found = marks(folder, "ann")
    assert len(found) == len(same)
    assert not any(one.right for one, equal in zip(found, same, strict=True) if not equal)


def test_points_and_verdicts_are_kept(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """A wrong unit, a blank and a text that can't be read each have their verdict, and the last waits for a person."""
    answers = keys["ann"]
    number = answers["answer_1"].split()[0]
    hand_in("ann", answers | {"answer_1": f"{number} mL", "answer_2": "", "answer_3": "about a lot"})
    found = mark(folder, "week-3", now=NOW)
    one, two, three, *_ = marks(folder, "ann")
    assert (one.verdict, two.verdict, three.verdict) == ("unit_wrong", "blank", "unread")
    assert (one.typed, three.typed) == (f"{number} mL", "about a lot")
    assert [m.needs_person for m in (one, two, three)] == [False, False, True]
    assert found.waiting == 1
    assert grades(folder, "ann")["week-3-q3-volume-check"] == (0.0, True)


def test_a_second_marking_changes_nothing(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """The same notebooks leave the same rows."""
    hand_in("ann", keys["ann"])
    hand_in("ben", {"answer_1": "12 gtt/min"})
    mark(folder, "week-3", now=NOW)
    before = rows(folder)
    found = mark(folder, "week-3", now=NOW)
    assert (found.marked, found.changed) == (2, 0)
    assert rows(folder) == before


def test_a_changed_answer_is_marked_again(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """The new marks take the place of the old ones, and the history has both."""
    hand_in("ann", {})
    mark(folder, "week-3", now=NOW)
    hand_in("ann", keys["ann"])
    assert mark(folder, "week-3", now=NOW).changed == 1
    assert score(folder, "ann") == FULL
    history = [row for row in rows(folder)["calclib_history"] if row[2] == "judged"]
    assert len(history) == 2


def test_a_score_given_by_hand_stays(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Marking again changes the automatic score alone, and flags the cell as nbgrader does."""
    hand_in("ann", {})
    mark(folder, "week-3", now=NOW)
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        grade = gradebook.find_grade("week-3-q1-drops-check", "week-3", "week-3", "ann")
        grade.manual_score = 0.5
        gradebook.db.commit()
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        grade = gradebook.db.query(Grade).filter(Grade.manual_score.isnot(None)).one()
        assert (grade.manual_score, grade.auto_score, grade.needs_manual_grade) == (0.5, 1.0, True)
    assert score(folder, "ann") == FULL - 0.5


def test_who_handed_nothing_in_is_named_and_has_no_row(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """As in nbgrader, a student without a submission has none in the gradebook."""
    hand_in("ann", keys["ann"])
    assert [student.id for student in mark(folder, "week-3", now=NOW).missing] == ["ben", "cat"]
    assert len(rows(folder)["submitted_assignment"]) == 1


def meta(key: str, value: object) -> Callable[[dict[str, Any]], None]:
    """Change one field of our metadata."""
    return lambda nb: nb["metadata"]["calclib"].update({key: value})


ASIDE: dict[str, tuple[Callable[[dict[str, Any]], None], str]] = {
    "of another set": (meta("set", "week-2"), "another set"),
    "of another student": (meta("made_for", "0123456789abcdef"), "somebody else"),
    "another version": (meta("tag", "0" * 32), "another version"),
    "without metadata": (lambda nb: nb.update(metadata={}), "doesn't say for whom"),
    "metadata of another kind": (lambda nb: nb.update(metadata=[1]), "doesn't say for whom"),
    "old format": (lambda nb: nb.update(nbformat=3), "older notebook format"),
    "without cells": (lambda nb: nb.update(cells=None), "no cells"),
}


@pytest.mark.parametrize("kind", ASIDE)
def test_a_foreign_or_damaged_notebook_goes_before_a_person(
    folder: Path, hand_in: HandIn, keys: Keys, kind: str
) -> None:
    """It earns nothing by itself, every check cell is flagged, and the others are marked all the same."""
    change, words = ASIDE[kind]
    hand_in("ann", keys["ann"], change=change)
    hand_in("ben", keys["ben"])
    found = mark(folder, "week-3", now=NOW)
    ((student, reason),) = found.aside
    assert student.id == "ann"
    assert words in sentence(for_faculty(reason))
    assert set(grades(folder, "ann").values()) == {(0.0, True)}
    assert score(folder, "ben") == FULL
    with reading(class_folder(folder)) as connection:
        assert [one.reason for one in set_aside(connection, "week-3")] == [reason]


def test_another_students_notebook_is_told_by_name(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Faculty read for whom it was made; it earns nothing, whatever is typed in it."""
    hand_in("ann", keys["ben"], of="ben")
    ((_, reason),) = mark(folder, "week-3", now=NOW).aside
    assert sentence(for_faculty(reason)) == "The notebook was made for student ben."
    assert sentence(for_the_student(reason)) == "The notebook was made for another student."
    assert score(folder, "ann") == 0


def test_another_students_notebook_with_forged_metadata_is_judged_by_ones_own(
    folder: Path, hand_in: HandIn, keys: Keys
) -> None:
    """Changing the name in a neighbor's notebook leads to one's own record, where its answers are wrong."""
    own = json.loads(class_folder(folder).rendered("week-3", "ann").read_text(encoding="utf-8"))["metadata"]["calclib"]
    hand_in("ann", keys["ben"], of="ben", change=lambda nb: nb["metadata"].update(calclib=own))
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") < FULL / 2


@pytest.mark.parametrize("data", [b"", b"{", b"[" * 100_000, b"\0" * 100, b'{"nbformat": 4, "cells": [NaN]}'])
def test_a_file_that_is_no_notebook_goes_before_a_person(folder: Path, hand_in: HandIn, data: bytes) -> None:
    """Marking goes on with the rest."""
    path = hand_in("ann", {})
    path.write_bytes(data)
    assert len(mark(folder, "week-3", now=NOW).aside) == 1
    assert set(grades(folder, "ann").values()) == {(0.0, True)}


def test_a_notebook_that_is_well_again_is_off_the_list(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Handing in a whole notebook mends it."""
    hand_in("ann", {}).write_bytes(b"{")
    mark(folder, "week-3", now=NOW)
    hand_in("ann", keys["ann"])
    assert mark(folder, "week-3", now=NOW).aside == ()
    assert set(grades(folder, "ann").values()) >= {(1.0, False)}
    with reading(class_folder(folder)) as connection:
        assert set_aside(connection, "week-3") == ()


def answer(nb: dict[str, Any], number: int) -> dict[str, Any]:
    """The answer cell of a number."""
    return next(cell for cell in nb["cells"] if "".join(cell["source"]).startswith(f"answer_{number} "))


def reorder(nb: dict[str, Any]) -> None:
    """Turn the cells around."""
    nb["cells"].reverse()


def retype(nb: dict[str, Any]) -> None:
    """Make an answer cell Markdown."""
    answer(nb, 1).update(cell_type="markdown")


def rename(nb: dict[str, Any]) -> None:
    """Give the answer another variable."""
    cell = answer(nb, 1)
    cell["source"] = ["".join(cell["source"]).replace("answer_1", "x")]


def copy_blank(nb: dict[str, Any]) -> None:
    """Split an answer cell, so that an empty one has the same id."""
    nb["cells"].append({**answer(nb, 1), "source": ""})


def lose_nbgrader(nb: dict[str, Any]) -> None:
    """Take nbgrader's metadata away."""
    for cell in nb["cells"]:
        cell["metadata"] = {}


def drop_checks(nb: dict[str, Any]) -> None:
    """Delete stems and check cells."""
    nb["cells"] = [cell for cell in nb["cells"] if cell["id"].endswith("-answer")]


def unquote(nb: dict[str, Any]) -> None:
    """Take the quotes away."""
    cell = answer(nb, 1)
    cell["source"] = ["".join(cell["source"]).replace('"', "")]


@pytest.mark.parametrize("change", [reorder, retype, rename, copy_blank, lose_nbgrader, drop_checks, unquote])
def test_what_can_be_told_is_marked(
    folder: Path, hand_in: HandIn, keys: Keys, change: Callable[[dict[str, Any]], None]
) -> None:
    """Cells that were moved, retyped, renamed, split or stripped keep their answers."""
    hand_in("ann", keys["ann"], change=change)
    found = mark(folder, "week-3", now=NOW)
    assert (found.aside, found.waiting) == ((), 0)
    assert score(folder, "ann") == FULL


def delete(nb: dict[str, Any]) -> None:
    """Delete an answer cell."""
    nb["cells"].remove(answer(nb, 1))


def contradict(nb: dict[str, Any]) -> None:
    """Copy an answer cell and type something else."""
    nb["cells"].append({**answer(nb, 1), "source": 'answer_1 = "1 gtt/min"'})


def compute(nb: dict[str, Any]) -> None:
    """Let code compute the answer."""
    answer(nb, 1)["source"] = "answer_1 = str(5 * 5) + ' gtt/min'"


def move(nb: dict[str, Any]) -> None:
    """Type the answer into a cell of one's own."""
    cell = answer(nb, 1)
    nb["cells"].append({"cell_type": "code", "id": "own", "metadata": {}, "source": "".join(cell["source"])})
    nb["cells"].remove(cell)


@pytest.mark.parametrize("change", [delete, contradict, compute, move])
def test_what_cannot_be_told_goes_before_a_person(
    folder: Path, hand_in: HandIn, keys: Keys, change: Callable[[dict[str, Any]], None]
) -> None:
    """Only that answer waits, with 0 until then; the others are marked."""
    hand_in("ann", keys["ann"], change=change)
    found = mark(folder, "week-3", now=NOW)
    assert (found.aside, found.waiting) == ((), 1)
    assert grades(folder, "ann")["week-3-q1-drops-check"] == (0.0, True)
    assert score(folder, "ann") == FULL - 1


def forge(nb: dict[str, Any]) -> None:
    """Raise the points and write outputs that say full marks."""
    for cell in nb["cells"]:
        if cell["id"].endswith("-check"):
            cell["metadata"]["nbgrader"]["points"] = 100
            cell["source"] = "100.0"
            cell["outputs"] = [
                {"output_type": "execute_result", "data": {"text/plain": "100.0"}, "metadata": {}, "execution_count": 1}
            ]


def test_forged_points_and_outputs_gain_nothing(folder: Path, hand_in: HandIn) -> None:
    """Nothing but the answer cells is looked at."""
    hand_in("ann", {}, change=forge)
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 0


def test_code_in_an_answer_cell_is_not_run(folder: Path, hand_in: HandIn, tmp_path: Path) -> None:
    """A cell that would write a file writes none."""
    target = tmp_path / "written"

    def plant(nb: dict[str, Any]) -> None:
        answer(nb, 1)["source"] = f"answer_1 = open({str(target)!r}, 'w').write('x')"
        answer(nb, 2)["source"] = f"import os\nos.system('touch {target}')\nanswer_2 = \"5 gtt/min\""

    hand_in("ann", {}, change=plant)
    mark(folder, "week-3", now=NOW)
    assert not target.exists()


def test_a_renamed_notebook_is_taken_if_it_is_the_only_one(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """With a note; of several with other names none is guessed."""
    path = hand_in("ann", keys["ann"])
    path.rename(path.with_name("my answers.ipynb"))
    other = hand_in("ben", keys["ben"])
    other.rename(other.with_name("a.ipynb"))
    other.with_name("b.ipynb").write_text("{}", encoding="utf-8")
    found = mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == FULL
    assert [student.id for student in found.missing] == ["ben", "cat"]
    assert len(found.notes) == 2


def test_a_folder_of_nobody_is_said(folder: Path, hand_in: HandIn) -> None:
    """It isn't marked, and no student is made of it as nbgrader would."""
    path = hand_in("ann", {})
    stranger = folder / "submissions" / "zoe" / "week-3"
    stranger.mkdir(parents=True)
    (stranger / "week-3.ipynb").write_bytes(path.read_bytes())
    assert mark(folder, "week-3", now=NOW).notes == ("submissions/zoe is of nobody on the roster and wasn't marked.",)
    assert len(rows(folder)["student"]) == 3


def test_a_wrong_part_is_marked_once(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """A later part that follows rightly from a wrong earlier one keeps its points, by the recorded item model."""
    answers = keys["ann"]
    volume = int(answers["answer_3"].split()[0].replace(",", ""))
    rate = int(answers["answer_4"].split()[0].replace(",", ""))
    wrong = rate + 20
    minutes = (Fraction(volume * 60, wrong) + Fraction(1, 2)).__floor__()
    hand_in("ann", answers | {"answer_4": f"{wrong} mL/h", "answer_5": f"{minutes} min"})
    mark(folder, "week-3", now=NOW)
    third, fourth, fifth = marks(folder, "ann")[2:5]
    assert (third.verdict, fourth.score, fifth.verdict) == ("right", 0, "carried_forward")


def late(percent: int, hours: int, extra: int = 0) -> Fraction:
    """The share lost by handing in so many hours after the due time."""
    sealed = SealedSet(
        **dict.fromkeys(("name", "title", "blueprint", "rounding", "rounding_hash", "marking", "marking_hash"), ""),
        cut_score=Fraction(90),
        due=NOW,
        late_percent=percent,
        attempts=1,
        slots=(),
        library="",
        handed_out="",
    )
    student = Student("ann", "Ann", accommodations=Accommodations(extra_minutes=extra))
    due = due_of(sealed, student, 1, NOW - dt.timedelta(days=7), None)
    return late_share(sealed, due, NOW + dt.timedelta(hours=hours))


@pytest.mark.parametrize(
    ("percent", "hours", "extra", "share"),
    [
        (10, -1, 0, "0"),
        (10, 0, 0, "0"),
        (10, 1, 0, "1/10"),
        (10, 24, 0, "1/10"),
        (10, 25, 0, "1/5"),
        (10, 999, 0, "1"),
        (100, 1, 0, "1"),
        (0, 99, 0, "0"),
        (10, 24, 1440, "0"),
        (10, 25, 1440, "1/10"),
    ],
)
def test_a_late_submission_loses_by_the_day_begun(percent: int, hours: int, extra: int, share: str) -> None:
    """Extra time of a named student counts; more than everything is never taken."""
    assert late(percent, hours, extra) == Fraction(share)


def test_lateness_is_counted_from_when_it_came_in(folder: Path, hand_in: HandIn, keys: Keys, tmp_path: Path) -> None:
    """The time is that of the file, not that of collecting on the third day late; the penalty is nbgrader's field."""
    due, later, now = (NOW + dt.timedelta(hours=hours) for hours in (1, 31, 60))
    changed = BLUEPRINT.replace("cut_score", f'due = {due.isoformat()}\nlate = "10 percent a day"\ncut_score')
    (tmp_path / "late.toml").write_text(changed, encoding="utf-8")
    hand_out(folder, tmp_path / "late.toml", now=NOW)
    (tmp_path / "in" / "ann").mkdir(parents=True)
    path = hand_in("ann", keys["ann"])
    handed = path.rename(tmp_path / "in" / "ann" / "week-3.ipynb")
    # A file has the time of this machine's clock, which is ahead of the class or before it, and so not believed.
    os.utime(handed, (later.timestamp(), later.timestamp()))
    collect(folder, "week-3", tmp_path / "in", now=now)
    mark(folder, "week-3", now=now)
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        submission = gradebook.find_submission("week-3", "ann")
        assert submission.timestamp == later.replace(tzinfo=None)
        (notebook,) = submission.notebooks
        assert notebook.late_submission_penalty == pytest.approx(FULL * 0.2)


def test_a_set_that_was_not_handed_out_is_refused(folder: Path) -> None:
    """With one sentence."""
    with pytest.raises(BadInput, match="No set 'week-33'"):
        mark(folder, "week-33", now=NOW)


def test_an_error_in_the_middle_changes_nothing(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Marking is one transaction: whoever stops it finds the gradebook as it was."""
    for student, answers in keys.items():
        hand_in(student, answers)
    before = rows(folder)

    def stop(done: int, _of: int, _who: str) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        mark(folder, "week-3", now=NOW, progress=stop)
    assert rows(folder) == before
    mark(folder, "week-3", now=NOW)
    assert score(folder, "cat") == FULL
