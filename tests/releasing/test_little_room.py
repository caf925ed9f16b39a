"""Commands that find no room for a file: one sentence, nothing lost, and the next run finishes."""

import multiprocessing
import os
import pwd
import shutil
import sys
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.cli import main
from tests.releasing.test_killed_going_out import LATER, course_of, fixed_secret, left, marked, place_of
from tests.small_class.killed import in_little_room
from tests.small_class.started import BLUEPRINT

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="needs fork")

__all__ = ["fixed_secret", "marked"]

# Bytes that a file may have: none, less than any notebook, less than a gradebook.
SIZES = (0, 1, 60, 700, 5_000, 12_000, 30_000, 80_000, 200_000, 400_000)
SAMPLE = (0, 5_000, 80_000)
COMMANDS = {
    "start": ["start", "NEW", "--roster", "ROSTER"],
    "example": ["example", "EXAMPLE"],
    "hand-out": ["hand-out", "CLASS", "ORDER"],
    "hand-out --preview": ["hand-out", "CLASS", "ORDER", "--preview"],
    "sign-off": ["sign-off", "CLASS", "ORDER", "--by", "Cy Cole"],
    "release": ["release", "CLASS", "week-3", "EXCHANGE"],
    "collect": ["collect", "CLASS", "week-3", "IN"],
    "mark": ["mark", "CLASS", "week-3", "--yes"],
    "report": ["report", "CLASS", "week-3"],
    "remedy": ["remedy", "CLASS", "week-3"],
    "zip": ["zip", "CLASS", "week-3", "--to", "ZIPS"],
    "standing": ["standing", "CLASS"],
    "standing for several terms": ["standing", "CLASS", "--to", "BOOK"],
    "student-record": ["student-record", "CLASS", "ben", "--to", "ZIP"],
    "simulate": ["simulate", "CLASS", "week-3", "DOWNLOADS"],
    "exam-machine": ["exam-machine", "MACHINE"],
    "site": ["site", "COURSE", "--to", "PAGES"],
    "export a table": ["export", "CLASS", "week-3", "--to", "TABLE"],
    "export a workbook": ["export", "CLASS", "week-3", "--to", "BOOK"],
    "erase": ["erase", "CLASS", "cat", "--yes"],
}
# A second run of these is a second ruling or attempt.
ONCE = {
    "rule": ["rule", "CLASS", "week-3", "--problem", "1", "--credit-all", "--reason", "Unclear.", "--yes"],
    "again": ["again", "CLASS", "week-3", "--student", "ben"],
    "coached": ["coached", "CLASS", "week-3", "ben", "--by", "Cy Cole", "--note", "Worked through problem 2."],
    "appeal": ["appeal", "CLASS", "week-3", "ben", "--by", "Cy Cole", "--note", "Problem 2 was unclear."],
    "standing --sign": ["standing", "CLASS", "--sign", "Cy Cole"],
}
LOOKS = {
    "explain": ["explain", "CLASS", "week-3", "ben"],
    "review": ["review", "CLASS", "week-3"],
    "accommodations": ["accommodations", "CLASS", "week-3"],
    "history": ["history", "CLASS", "week-3"],
}


@pytest.fixture
def place(marked: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A class in which something is to be done by every command."""
    for module in ("marking", "handing_out", "rulings", "attempts", "export", "after_exam"):
        monkeypatch.setattr(f"calclib.cli.commands.{module}._now", lambda: LATER)
    folder = marked / "class"
    (marked / "other.toml").write_text(BLUEPRINT.replace('set = "week-3"', 'set = "other"'), encoding="utf-8")
    path = class_folder(folder).submitted("week-3", "ben")
    path.write_bytes(path.read_bytes().replace(b"3 gtt/min", b"33 gtt/min"))
    late = marked / "in" / "ann" / "week-3.ipynb"
    late.parent.mkdir()
    late.write_bytes(class_folder(folder).rendered("week-3", "ann").read_bytes())
    course_of(marked)
    place_of(folder, pwd.getpwuid(os.geteuid()).pw_name)
    return marked


def words(command: list[str], place: Path) -> list[str]:
    """A command with the paths of its place."""
    names = {
        "CLASS": "class",
        "NEW": "new",
        "EXAMPLE": "example",
        "ORDER": "other.toml",
        "ROSTER": "roster.csv",
        "EXCHANGE": "class/exchange",
        "IN": "in",
        "ZIPS": "zips",
        "TABLE": "results.csv",
        "BOOK": "results.xlsx",
        "ZIP": "ben.zip",
        "DOWNLOADS": "downloads",
        "MACHINE": "machine",
        "COURSE": "course",
        "PAGES": "pages",
    }
    return ["calclib", *(str(place / names[word]) if word in names else word for word in command)]


def tried(
    name: str, command: list[str], place: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """Give a command little room, then all it needs; all is as if it had run once."""
    kept, calm = (place.with_name(one) for one in ("kept", "calm"))
    shutil.copytree(place, kept)
    monkeypatch.setattr(sys, "argv", words(command, place))
    code, said = in_little_room(main, 100_000_000)
    assert code == 0, said
    expected = left(place)
    shutil.move(place, calm)
    failed = 0
    for most in SIZES if request.config.getoption("--full") else SAMPLE:
        shutil.copytree(kept, place)
        before = left(place)
        code, said = in_little_room(main, most)
        lines = [line for line in said.splitlines() if line.startswith("calclib:") or "Traceback" in line]
        assert code == 0 or (code == 1 and len(lines) == 1 and "Traceback" not in said), (name, most, code, said)
        failed += code
        if name in ONCE and code:
            assert left(place)[2] == before[2], most
        assert set(before[0]) <= set(left(place)[0]) or name == "erase", most
        if code:
            again, more = in_little_room(main, 100_000_000)
            assert again == 0, more
        assert left(place) == expected, most
        shutil.rmtree(place)
    assert failed or name in LOOKS


IN_EACH_RUN = ("collect", "mark", "rule", "erase", "again", "release", "remedy")
"""Commands that are tried in each run, one of each way of writing; the others in the full tier."""


@pytest.mark.parametrize(
    "name",
    [name if name in IN_EACH_RUN else pytest.param(name, marks=pytest.mark.full) for name in (*COMMANDS, *ONCE)],
)
def test_without_room_for_a_file_it_is_one_sentence_and_the_next_run_finishes(
    name: str,
    place: Path,
    fixed_secret: None,
    monkeypatch: pytest.MonkeyPatch,
    request: pytest.FixtureRequest,
) -> None:
    """No traceback, no file gone that was there; a ruling or an attempt is there whole or not at all."""
    tried(name, {**COMMANDS, **ONCE}[name], place, monkeypatch, request)


@pytest.mark.parametrize("name", LOOKS)
def test_what_only_looks_needs_no_room(
    name: str, place: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """A disk without room keeps nobody from explaining a mark."""
    monkeypatch.setattr(sys, "argv", words(LOOKS[name], place))
    before = left(place)
    assert in_little_room(main, 0) == (0, "")
    assert left(place) == before
