"""The example class: its files hold every field, and a whole term of it runs as its page writes it."""

from __future__ import annotations

import re
import shlex
import tomllib
from collections.abc import Iterator, Mapping
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.class_files.blueprint import ITEM_KEYS, TOP_KEYS
from calclib.class_files.roster import read_roster
from calclib.cli.main import calclib
from calclib.demo.example import write_example
from calclib.errors import BadInput

EXAMPLE = files("calclib.demo").joinpath("example_class")


def commands() -> list[str]:
    """The commands that the example's page writes, in their order."""
    page = EXAMPLE.joinpath("README.md").read_text("utf-8")
    (block,) = re.findall(r"```sh\n(.*?)```", page, re.DOTALL)
    return [line for line in block.splitlines() if line]


def test_the_blueprint_has_every_field() -> None:
    """Whoever copies from it has seen all that a blueprint may say."""
    blueprint = tomllib.loads(EXAMPLE.joinpath("blueprint.toml").read_text("utf-8"))
    in_items = {key for table in blueprint["items"] for key in table}

    assert set(TOP_KEYS) - set(blueprint) == set()
    assert set(ITEM_KEYS) - in_items == {"topic"}


def test_the_roster_lists_62_students(tmp_path: Path) -> None:
    """Each with a name of their own, and accommodations among them."""
    write_example(tmp_path / "example")
    students = read_roster(tmp_path / "example" / "roster.csv").students

    assert len({student.name for student in students}) == len(students) == 62
    assert any(student.accommodations.extra_minutes for student in students)
    assert any(student.accommodations.extra_attempts for student in students)


def test_a_folder_in_use_is_left_alone(tmp_path: Path) -> None:
    """The example is written into a new folder alone."""
    (tmp_path / "letter.txt").write_text("mine", "utf-8")

    with pytest.raises(BadInput, match="isn't empty"):
        write_example(tmp_path)


@pytest.fixture(scope="module")
def term(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mapping[str, str]]:
    """What each command of the term printed, by the command as written; the folder of the term is the current one."""
    folder = tmp_path_factory.mktemp("term") / "example"
    write_example(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        printed = {}
        for line in commands():
            done = CliRunner().invoke(calclib, shlex.split(line)[1:])
            assert done.exit_code == 0, f"{line}: {done.output}"
            printed[line] = done.output
        yield printed


def test_the_term_runs_as_written(term: Mapping[str, str]) -> None:
    """Every command of the page ends well, and the class of 62 is drawn, collected and marked."""
    assert "62 new students" in term["calclib start class --roster roster.csv"]
    assert "62 notebooks drawn" in term["calclib hand-out class blueprint.toml"]
    assert "60 notebooks marked" in term["calclib mark class dosage-exam-1"]


def test_the_term_shows_what_is_allowed_and_ruled(term: Mapping[str, str]) -> None:
    """Sign-off, accommodations, a bad problem replaced, retakes with a due time of their own, zips of these alone."""
    by_command = {line.split()[1]: printed for line, printed in term.items()}
    again = by_command["again"]
    given = [line for line in again.splitlines() if ": attempt 2, due " in line]

    assert "is signed by Dr. Ines Marlowe" in by_command["sign-off"]
    assert "Elia Evenlode (eevenlode): 1.5 times the working time, 112.5 minutes" in by_command["accommodations"]
    assert "Problem 4 is “titrated-rate” in this attempt" in again
    # A usual class: of 60 some fail and get a second attempt, and some pass.
    assert 10 <= len(given) <= 50
    assert all(re.search(r"December \d+, 2030, 17:00 \(UTC-06:00\)", line) for line in given)
    assert f"{len(given)} zip" in by_command["zip"]
    assert ", of attempt 2" in by_command["zip"]
    assert by_command["history"].count("attempt 2") >= len(given)
