"""A set with drawings and set-ups, from handing out to the disputed mark."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.judging_papers import mark
from calclib.pages import write_feedback, write_report
from calclib.pages.explanation import explanation
from calclib.pages.waiting import waiting
from calclib.records import PartMark, marks_of, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class
from tests.small_class.started import NOW, ROSTER

SET = "week-4"
BLUEPRINT = """set = "week-4"
title = "Week 4: reading and setting up"
rounding = "tenths-and-wholes"
marking = "homework"
cut_score = 90

[[items]]
item = "read-syringe"

[[items]]
item = "bag-scale-time"

[[items]]
item = "setup-drop-rate"
"""
SET_UP, NUMBER = "answer_6", "answer_7"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class that was handed the set."""
    place = tmp_path_factory.mktemp("drawn")
    (place / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (place / "set.toml").write_text(BLUEPRINT, encoding="utf-8")
    start_class(place / "class", place / "roster.csv")
    hand_out(place / "class", place / "set.toml", now=NOW)
    return place / "class"


@pytest.fixture
def drawn_class(made: Path, tmp_path: Path) -> Path:
    """A copy for one test."""
    return Path(shutil.copytree(made, tmp_path / "class"))


def records(folder: Path, student: str) -> list[dict[str, object]]:
    """What is sealed for a student."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student])
    assert paper is not None
    return [dict(item.record) for item in paper.items]


def right_answers(folder: Path, student: str) -> dict[str, str]:
    """The key of each answer cell."""
    parts = [part for record in records(folder, student) for part in record["parts"]]  # type: ignore[attr-defined]
    return {f"answer_{n}": part["answer"] for n, part in enumerate(parts, start=1)}


def marked(folder: Path, student: str, answers: dict[str, str]) -> tuple[PartMark, ...]:
    """The marks of a notebook with these answers."""
    where = class_folder(folder)
    notebook = json.loads(where.rendered(SET, student).read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        for variable, text in answers.items():
            if "".join(cell["source"]).startswith(f'{variable} = ""'):
                cell["source"] = [f'{variable} = "{text}"\n', "# Type your answer between the quotes."]
    path = where.submitted(SET, student)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), encoding="utf-8")
    mark(folder, SET, now=NOW)
    with reading(where) as connection:
        return marks_of(connection, SET)[pseudonyms(connection)[student]]


def page(folder: Path, student: str) -> str:
    """The feedback page."""
    return write_feedback(folder, SET).pages[student].read_text(encoding="utf-8")


def test_right_answers_earn_all_points(drawn_class: Path) -> None:
    """The keys, the printed set-up among them, are worth full marks."""
    found = marked(drawn_class, "ann", right_answers(drawn_class, "ann"))
    assert [one.verdict for one in found] == ["right"] * 7
    assert "carried" not in page(drawn_class, "ann")


def test_a_sealed_record_holds_what_is_drawn_and_the_notebook_does_not_say_it(drawn_class: Path) -> None:
    """The value stands in the record and nowhere in the file that the student has."""
    first = records(drawn_class, "ben")[0]
    value = next(text for name, text, *_ in first["givens"] if name == "level")  # type: ignore[attr-defined]
    assert first["drawings"][0]["level"]  # type: ignore[index]
    notebook = json.loads(class_folder(drawn_class).rendered(SET, "ben").read_text(encoding="utf-8"))
    assert "level" not in json.dumps(notebook["metadata"])
    stem = next("".join(cell["source"]) for cell in notebook["cells"] if cell["id"].endswith("q1-stem"))
    assert "<img alt=" in stem
    assert f" {value}" not in stem
    assert all("level" not in key for cell in notebook["cells"] for key in cell["metadata"])


def test_feedback_shows_the_drawing_with_its_words(drawn_class: Path) -> None:
    """A misread syringe is explained beside the drawing; nothing is loaded from outside."""
    answers = right_answers(drawn_class, "ann")
    drawing = records(drawn_class, "ann")[0]["drawings"][0]  # type: ignore[index]
    top, bottom = [*drawing["level"].split("/"), "1"][:2]
    far = round(int(top) / int(bottom) + 0.5, 1)
    found = marked(drawn_class, "ann", {**answers, "answer_1": f"{far:g} mL"})
    assert found[0].causes[0]["fault"] == "wrong edge"
    text = page(drawn_class, "ann")
    assert "the plunger was read at the edge nearest the handle" in text
    assert '<img alt="Drawing of a 3 mL syringe.' in text
    assert "img-src data:" in text
    assert "http" not in text.replace('http-equiv="Content-Security-Policy"', "")


def test_a_wrong_set_up_is_named_and_the_number_after_it_kept(drawn_class: Path) -> None:
    """Sealed marking, feedback, explanation and report speak of it."""
    answers = right_answers(drawn_class, "cat")
    wrong = answers[SET_UP].replace(" x 1 h/60 min", "")
    assert wrong != answers[SET_UP]
    found = marked(drawn_class, "cat", {**answers, SET_UP: wrong})
    assert (found[5].verdict, found[5].causes[0]["fault"]) == ("wrong_with_cause", "set-up: missing")
    assert found[6].verdict == "right"
    assert "the conversion 1 h = 60 min is missing" in page(drawn_class, "cat")
    told = explanation(drawn_class, SET, "cat", 3)
    assert "every set-up of the problem's numbers" in " ".join(told.split())
    assert "set-up" in write_report(drawn_class, SET).read_text(encoding="utf-8").lower()


def test_a_set_up_that_cant_be_read_waits_for_a_person(drawn_class: Path) -> None:
    """It is on the list of what waits, and has no points until then."""
    answers = right_answers(drawn_class, "ben")
    found = marked(drawn_class, "ben", {**answers, SET_UP: "volume over time, then drops"})
    assert (found[5].verdict, found[5].needs_person) == ("unread", True)
    assert "volume over time, then drops" in repr(waiting(drawn_class, SET))
