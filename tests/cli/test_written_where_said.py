"""A command that writes where a person says writes over nothing that a class keeps, and an event is one line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import click
import pytest

from calclib.cli.main import calclib
from calclib.judging_papers import mark
from tests.cli.test_faculty_commands import run
from tests.small_class.killed import files
from tests.small_class.started import NOW, folder, hand_in, keys, made_class

__all__ = ["folder", "hand_in", "keys", "made_class"]

WRITES = {
    "export": ["export", "CLASS", "week-3", "--to", "THERE"],
    "zip": ["zip", "CLASS", "week-3", "--to", "THERE"],
    "zip of plans": ["zip", "CLASS", "week-3", "--plans", "--to", "THERE"],
    "standing": ["standing", "CLASS", "--to", "THERE"],
    "student-record": ["student-record", "CLASS", "ann", "--to", "THERE"],
    "items": ["items", "drop-rate", "--page", "THERE"],
    "formulary": ["formulary", "morphine", "--page", "THERE"],
    "simulate": ["simulate", "CLASS", "week-3", "THERE"],
    "example": ["example", "THERE"],
    "exam-machine": ["exam-machine", "THERE"],
    "demo": ["demo", "--to", "THERE"],
    "site": ["site", "course", "--to", "THERE"],
}
# What a student's files, a gradebook, a list and faculty's own files are called in a class.
KEPT = (
    "roster.csv",
    "gradebook.db",
    "class.toml",
    "submissions",
    "release/ann",
    "Submissions/new.csv",
    "taking-a.json",
)
OPTIONS = {"--to", "--page"}


@pytest.fixture
def handed_in(folder: Path, hand_in: Callable[..., Path], keys: Mapping[str, Mapping[str, str]]) -> Path:
    """A class in which Ann handed in, and that is marked."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    return folder


@pytest.mark.parametrize("command", WRITES)
def test_nothing_that_a_class_keeps_is_written_over(command: str, handed_in: Path) -> None:
    """By its name in other letters, through a link or from another folder: one sentence, and all is as it was."""
    link = handed_in.parent / "link"
    link.symlink_to(handed_in)
    linked = handed_in.parent / "results.csv"
    linked.symlink_to(handed_in / "roster.csv")
    told: list[str] = []
    before, gradebook = files(handed_in), (handed_in / "gradebook.db").read_bytes()
    for there in (*(handed_in / name for name in KEPT), link / "gradebook.db", linked):
        words = {"CLASS": str(handed_in), "THERE": str(there)}
        found = run(*(words.get(word, word) for word in WRITES[command]))
        assert found.exit_code != 0, there
        told.append(str(found.exception))
        assert files(handed_in) == before, there
        assert (handed_in / "gradebook.db").read_bytes() == gradebook, there
    assert [text for text in told if "A class keeps its own files there" in text]


def test_every_option_that_names_a_file_to_write_is_among_them() -> None:
    """A new command that writes where a person says has its place here."""
    with click.Context(calclib) as context:
        commands = {name: calclib.get_command(context, name) for name in calclib.list_commands(context)}
    writing = {
        name
        for name, command in commands.items()
        if command is not None and any(OPTIONS & {*one.opts} for one in command.params if name != "rule")
    }
    assert writing <= {words[0] for words in WRITES.values()}


def test_beside_them_a_table_is_written_and_written_again(handed_in: Path) -> None:
    """In the class folder, among its reports, and elsewhere."""
    (handed_in / "reports").mkdir(exist_ok=True)
    for there in ("results.csv", "reports/results.csv", "../results.csv"):
        for _ in range(2):
            assert run("export", str(handed_in), "week-3", "--to", str(handed_in / there)).exit_code == 0


@pytest.mark.parametrize("command", ["coached", "appeal"])
def test_a_talk_is_one_line_of_the_history(command: str, handed_in: Path) -> None:
    """Line breaks in a name or a note make no second line, which would read as another event."""
    forged = "read\n2026-11-25 08:00 UTC  marked: 9 students"
    words = (command, str(handed_in), "week-3", "ann", "--by", "Cy\nCole", "--note", forged)
    found = run(*words)
    assert found.exit_code == 0 and "Cy\nCole" not in found.output
    lines = run("history", str(handed_in), "week-3").output.splitlines()
    assert not [line for line in lines if line.startswith("2026-11-25 08:00 UTC  marked: 9")]
    assert [line for line in lines if "Cy Cole" in line and "9 students" in line]
    for by in ("\u202eCy", "Cy\x07", "C" * 121):
        refused = run(*words[:5], by, *words[6:])
        assert refused.exit_code != 0 and "printable" in str(refused.exception)
