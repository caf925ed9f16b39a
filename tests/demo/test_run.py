"""The demo: the whole cycle on an invented class."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.class_files import blueprint_from_text, roster_from_text, whole_catalogue
from calclib.cli.main import calclib
from calclib.demo import demo_blueprint, demo_roster, file_lines, run_demo, summary_lines
from calclib.errors import BadInput

NOW = dt.datetime(2026, 3, 2, 12, 0, tzinfo=dt.UTC)


def test_class_list_and_blueprint_are_valid() -> None:
    """The invented class is a valid roster, its names all different, and its set has ten items."""
    students = roster_from_text(demo_roster(260)).students
    assert len({student.name for student in students}) == 260
    assert blueprint_from_text(demo_blueprint(), whole_catalogue()).problems == 10


def test_whole_cycle(tmp_path: Path) -> None:
    """Every answer comes back, all are judged, the files that are named exist, a second run changes nothing."""
    seen: list[str] = []
    folder = tmp_path / "class"
    first = run_demo(folder, 4, "test", lambda done, total, name: seen.append(name), now=NOW)
    parts = sum(len(slot.points) for slot in first.results.sealed.slots)
    assert sum(first.planted.values()) == 4 * parts
    assert first.report.is_file() and first.feedback.is_file() and first.notebook.is_file()
    assert {name.split(":")[0] for name in seen} >= {"Handing out", "Filling in answers", "Collecting", "Marking"}
    assert all(len(line) <= 88 for line in summary_lines(first))
    assert first.plans.is_file() and first.plan is not None and first.plan.is_file() and first.retested
    assert str(first.report) in "\n".join(file_lines(first))
    again = run_demo(folder, 4, "test", now=NOW)
    assert summary_lines(again) == summary_lines(first)


@pytest.mark.full
def test_of_the_class_some_pass_and_some_fail(tmp_path: Path) -> None:
    """As it is run without options: between a quarter and three quarters of the class of 24 reach the cut score."""
    results = run_demo(tmp_path / "class", now=NOW).results
    assert 6 <= sum(results.reaches_cut(one) for one in results.judged) <= 18


def test_other_folders_are_left_alone(tmp_path: Path) -> None:
    """A folder with something else in it, or with a real class, is refused untouched."""
    (tmp_path / "letter.txt").write_text("mine", "utf-8")
    with pytest.raises(BadInput, match="isn't empty"):
        run_demo(tmp_path, 2)
    (tmp_path / "class.toml").write_text('course = "n101"\n', "utf-8")
    with pytest.raises(BadInput, match="real class"):
        run_demo(tmp_path, 2)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["class.toml", "letter.txt"]


def test_size_of_the_class(tmp_path: Path) -> None:
    """A class of none, or of more than there are names, is refused in a sentence."""
    with pytest.raises(BadInput, match="1 to 260 students"):
        run_demo(tmp_path / "class", 0)


def test_only_files_that_exist_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In an empty folder, as after `pip install` without the lessons, the demo names no file that isn't there."""
    monkeypatch.chdir(tmp_path)

    done = CliRunner().invoke(calclib, ["demo", "--students", "1"])

    assert done.exit_code == 0, done.output
    named = re.findall(r"\S+\.(?:html|ipynb)\b", done.output)
    assert len(named) >= 4
    assert [name for name in named if not Path(name).is_file()] == []
