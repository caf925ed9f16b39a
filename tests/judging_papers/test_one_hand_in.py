"""One ruling settles one hand-in: not another student's, and not that of another attempt."""

import datetime as dt
import json
import os
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.collecting import collect
from calclib.errors import BadInput
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.records.questioned import Question, QuestionKind, keep_questioned
from calclib.releasing import hand_out
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from tests.small_class.started import BLUEPRINT, NOW


def submit(folder: Path, text: str, hours: int) -> None:
    """Ann hands in the notebook that she has, with one text as her first answer, and it is marked."""
    notebook = json.loads(class_folder(folder).rendered("week-3", "ann").read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        if "".join(cell["source"]).startswith("answer_1 ="):
            cell["source"] = [f'answer_1 = "{text}"']
    path = folder.parent / "in" / "ann" / "week-3.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), encoding="utf-8")
    when = NOW + dt.timedelta(hours=hours)
    os.utime(path, (when.timestamp(),) * 2)
    collect(folder, "week-3", path.parent.parent, now=when + dt.timedelta(minutes=5))
    mark(folder, "week-3", now=when + dt.timedelta(minutes=6))


def first_of(folder: Path, attempt: int) -> tuple[bool, bool]:
    """Whether Ann's first answer of an attempt has points, and whether it waits for a person."""
    (ann,) = [one for one in set_results(class_folder(folder), "week-3").marked if one.student.id == "ann"]
    assert ann.attempt == attempt
    return bool(ann.parts[0].earned), ann.parts[0].open


def test_points_for_an_answer_are_of_one_attempt(folder: Path) -> None:
    """The same words in the next attempt, which has other numbers, wait for a person of their own."""
    order = folder.parent / "week-3.toml"
    order.write_text(BLUEPRINT.replace("cut_score", 'attempts = 2\nkeep = "last"\ncut_score'), encoding="utf-8")
    hand_out(folder, order, now=NOW)
    submit(folder, "as in the margin", 1)
    assert first_of(folder, 1) == (False, True)
    wish = RulingRequest("answer", {"points": "1"}, "It is in the margin.", problem=1, student="ann")
    make_ruling(folder, "week-3", wish, now=NOW + dt.timedelta(hours=2))
    assert first_of(folder, 1) == (True, False)
    give_another_attempt(folder, "week-3", now=NOW + dt.timedelta(hours=3), students=("ann",))
    submit(folder, "as in the margin", 4)
    assert first_of(folder, 2) == (False, True)


def test_the_same_file_in_two_names_is_two_hand_ins(folder: Path) -> None:
    """What is decided on the one leaves the other waiting."""
    where, why = class_folder(folder), Question(QuestionKind.OTHER_ACCOUNT, "eve", "x")
    for student in ("ann", "ben"):
        keep_questioned(where, "week-3", student, b"{}", why, NOW)
    (sign,) = [path.stem for path in folder.glob("questioned/ann/week-3/*.json")]

    def leave(student: str) -> None:
        wish = RulingRequest("hand_in", {"sign": sign, "outcome": "left"}, "Not hers.", student=student)
        make_ruling(folder, "week-3", wish, now=NOW)

    leave("ann")
    with pytest.raises(BadInput, match="waits"):
        leave("ann")
    leave("ben")
