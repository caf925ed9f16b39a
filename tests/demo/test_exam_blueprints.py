"""The mid-term and the final exam that ship: drawn, previewed, handed out, collected and marked, all answers right."""

from __future__ import annotations

import datetime as dt
import json
import re
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.class_files import class_folder
from calclib.class_files.class_folder import ClassFolder
from calclib.cli.main import calclib
from calclib.demo.example import write_example
from calclib.gradebook.results import set_results
from calclib.judging_papers import mark
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import practice_sets, start_class

NOW = dt.datetime(2026, 11, 25, 8, 0, tzinfo=dt.UTC)
ROSTER = "id,name\nann,Ann Ash\nben,Ben Birch\n"
EXAMS = {"mid_term.toml": ("mid-term", 5), "final_exam.toml": ("final-exam", 14)}
"""Each exam's file, its name, and the last lesson that it is about."""


def answers_of(where: ClassFolder, name: str, student: str) -> list[str]:
    """The right answers to a student's paper, from its record."""
    with reading(where) as connection:
        paper = sealed_paper(connection, name, pseudonyms(connection)[student])
    assert paper is not None
    return [part["answer"] for item in paper.items for part in item.record["parts"]]


def hand_in(where: ClassFolder, name: str, student: str, answers: list[str]) -> None:
    """A student's notebook with answers typed in."""
    notebook = json.loads(where.rendered(name, student).read_text("utf-8"))
    cells = [cell for cell in notebook["cells"] if cell["metadata"]["nbgrader"]["solution"]]
    for number, (cell, text) in enumerate(zip(cells, answers, strict=True), start=1):
        cell["source"] = f'answer_{number} = "{text}"'
    path = where.submitted(name, student)
    path.parent.mkdir(parents=True)
    path.write_text(json.dumps(notebook), "utf-8")


@pytest.mark.parametrize("file", EXAMS)
def test_an_exam_asks_what_its_lessons_practiced(file: str, tmp_path: Path) -> None:
    """Its problems are those of the practice sets of its lessons, and each of these lessons has its share."""
    write_example(tmp_path / "example")
    asked = {line["item"] for line in tomllib.loads((tmp_path / "example" / file).read_text("utf-8"))["items"]}
    sets = sorted(practice_sets().values(), key=lambda one: int(re.findall(r"\d+", one.title)[0]))[: EXAMS[file][1]]
    practiced = [{line.name for line in one.lines} for one in sets]
    assert asked <= set().union(*practiced)
    assert all(asked & names for names in practiced)


@pytest.mark.parametrize("file", EXAMS)
def test_an_exam_goes_from_the_preview_to_the_marks(file: str, tmp_path: Path) -> None:
    """Previewed on a page, drawn with other numbers for each, and marked: the keys have all points, no answers none."""
    name = EXAMS[file][0]
    write_example(tmp_path / "example")
    (tmp_path / "roster.csv").write_text(ROSTER, "utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    where = class_folder(tmp_path / "class")
    run = CliRunner()
    blueprint = str(tmp_path / "example" / file)
    preview = run.invoke(calclib, ["hand-out", str(where.path), blueprint, "--preview"])
    assert preview.exit_code == 0, preview.output
    assert "preview" in preview.output
    done = run.invoke(calclib, ["hand-out", str(where.path), blueprint])
    assert done.exit_code == 0, done.output
    assert answers_of(where, name, "ann") != answers_of(where, name, "ben")

    hand_in(where, name, "ann", answers_of(where, name, "ann"))
    hand_in(where, name, "ben", [""] * len(answers_of(where, name, "ben")))
    assert mark(where.path, name, now=NOW).marked
    results = {one.student.id: one for one in set_results(where, name).students}
    of_ann = results["ann"].parts
    assert sum(part.earned for part in of_ann) == sum(part.mark.points for part in of_ann) > 0
    assert sum(part.earned for part in results["ben"].parts) == 0
