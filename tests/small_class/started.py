"""A small class that was started and handed a set, copied for each test."""

from __future__ import annotations

import datetime as dt
import json
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from calclib.class_files import class_folder
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class

NOW = dt.datetime(2026, 11, 25, 8, 0, tzinfo=dt.UTC)
ROSTER = """id,name,hub_user,lms_name,accommodations
ann,Ann Ash,aash,"Ash, Ann",
ben,Ben Birch,,,extra_minutes=1440
cat,Cat Cedar,,,
"""
BLUEPRINT = """set = "week-3"
title = "Week 3: <infusions>"
rounding = "tenths-and-wholes"
marking = "homework"
cut_score = 90

[[items]]
item = "drop-rate"
count = 2

[[items]]
item = "secondary-infusion-entries"
points = 6

[[items]]
item = "safe-dose-range"

[[items]]
item = "infusion-end-time"
"""


@pytest.fixture(scope="session")
def made_class(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class of three with one set handed out; never changed by a test."""
    place = tmp_path_factory.mktemp("made")
    (place / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (place / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
    start_class(place / "class", place / "roster.csv")
    hand_out(place / "class", place / "week-3.toml", now=NOW)
    return place / "class"


@pytest.fixture
def folder(made_class: Path, tmp_path: Path) -> Path:
    """A copy of the class for one test."""
    return Path(shutil.copytree(made_class, tmp_path / "class"))


@pytest.fixture
def keys(folder: Path) -> dict[str, dict[str, str]]:
    """The right answer to each answer cell's variable, by student."""
    with reading(class_folder(folder)) as connection:
        found = {}
        for student, name in pseudonyms(connection).items():
            paper = sealed_paper(connection, "week-3", name)
            assert paper is not None
            parts = [part for item in paper.items for part in item.record["parts"]]
            found[student] = {f"answer_{n}": part["answer"] for n, part in enumerate(parts, start=1)}
        return found


Change = Callable[[dict[str, Any]], None]


@pytest.fixture
def hand_in(folder: Path) -> Callable[..., Path]:
    """Writes a student's notebook into the submissions, with answers typed in and changed at will."""

    def write(student: str, answers: Mapping[str, str], *, change: Change | None = None, of: str | None = None) -> Path:
        where = class_folder(folder)
        notebook = json.loads(where.rendered("week-3", of or student).read_text(encoding="utf-8"))
        for cell in notebook["cells"]:
            source = "".join(cell["source"])
            for variable, text in answers.items():
                if source.startswith(f'{variable} = ""'):
                    cell["source"] = [f'{variable} = "{text}"\n', "# Type your answer between the quotes."]
        if change is not None:
            change(notebook)
        path = where.submitted("week-3", student)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(notebook), encoding="utf-8")
        return path

    return write
