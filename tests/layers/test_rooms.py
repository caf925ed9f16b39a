"""Each room says what it is for, on a page; the documents at the top stay short."""

from __future__ import annotations

import pytest

from calclib.cli.main import COMMANDS
from tests.layers.source_files import PACKAGE, REPOSITORY

# Folders of tests that look across rooms.
ACROSS = {
    *("benchmarks", "browser", "course", "damaged", "departments"),
    *("hostile", "layers", "mutants", "reference"),
}
ROOMS = sorted(str(door.parent.relative_to(PACKAGE)) for door in PACKAGE.rglob("*/__init__.py"))


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_says_what_it_is_for(room: str) -> None:
    """Its README says, on a page, what is in it, who calls it, what it may import, and how to add one more."""
    page = PACKAGE / room / "README.md"
    assert page.is_file()
    text = page.read_text("utf-8")

    assert len(text.encode()) < 6_000
    if room != "formulary":  # its page is for pharmacists, in sections of its own
        assert "**Called by**" in text
        assert "**May import**" in text
    assert "How to add" in text or "**To add" in text or "**When nbgrader has a new version**" in text


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_is_small_enough_to_be_known(room: str) -> None:
    """It holds at most 20 modules of its own; what belongs together beyond that is a room in it."""
    modules = [path.name for path in (PACKAGE / room).glob("*.py") if path.name != "__init__.py"]
    assert len(modules) <= 20


def test_a_module_is_short_enough_to_be_read_at_once() -> None:
    """It holds at most 400 lines: what is about something else has a module of its own."""
    long = {
        path.relative_to(PACKAGE).as_posix(): count
        for path in sorted(PACKAGE.rglob("*.py"))
        if (count := len(path.read_text("utf-8").splitlines())) > 400
    }

    assert not long


def test_tests_stand_in_rooms_of_the_same_names() -> None:
    """Each folder of tests that holds some is named as a room of the package, or is one that looks across rooms."""
    tests = REPOSITORY / "tests"
    folders = {path.parent.relative_to(tests).as_posix() for path in tests.rglob("test_*.py")}

    assert folders - set(ROOMS) == ACROSS
    assert {room for room in ROOMS if "/" not in room} <= folders


@pytest.mark.parametrize("room", ROOMS)
def test_a_page_names_files_that_exist(room: str) -> None:
    """The first column of its table of files names files and folders of the room."""
    lines = (PACKAGE / room / "README.md").read_text("utf-8").splitlines()
    rows = [line.split("|")[1] for line in lines if line.startswith("| `")]
    names = [name.strip() for row in rows for name in row.split("`")[1::2]]

    assert [name for name in names if "*" not in name and not (PACKAGE / room / name).exists()] == []


def test_every_command_stands_in_the_table() -> None:
    """The page of `cli` has a row for each command."""
    text = (PACKAGE / "cli" / "README.md").read_text("utf-8")

    assert [command for command in COMMANDS if f"| `calclib {command}" not in text] == []


def test_the_document_for_maintainers_stays_short() -> None:
    """DEVELOPERS.md holds at most 14 KB: what belongs to one room stands in that room."""
    assert (REPOSITORY / "DEVELOPERS.md").stat().st_size <= 14 * 1024
