"""Commands on a disk that is full: one sentence, nothing lost, and the next run finishes once there is room."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from calclib.cli import main
from tests.releasing.test_killed_going_out import fixed_secret, left, marked
from tests.releasing.test_little_room import COMMANDS, ONCE, place, pytestmark, words
from tests.small_class.killed import in_little_room

__all__ = ["fixed_secret", "marked", "place", "pytestmark"]

SIZE = 32 << 20
# Bytes that are left: none, less than a notebook, less than a gradebook, less than all that is written.
LEFT = (0, 8 << 10, 64 << 10, 300 << 10, 1 << 20)
SAMPLE = (0, 64 << 10)
PLENTY = 1 << 30
EVERY = {**COMMANDS, **ONCE}
QUICK = ("collect", "mark", "again")


@pytest.fixture
def disk(place: Path) -> Iterator[Path]:
    """The class on a small disk of its own, at the same place."""
    kept = place.with_name("kept")
    shutil.move(place, kept)
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE},mode=700", "tmpfs", str(place)]
    if os.geteuid() or not shutil.which("mount") or subprocess.run(command, capture_output=True).returncode:
        pytest.skip("needs to mount a small disk")
    try:
        again(place, kept)
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def again(place: Path, kept: Path) -> None:
    """Empty the disk, and put the class on it as it was."""
    for one in place.iterdir():
        shutil.rmtree(one) if one.is_dir() else one.unlink()
    shutil.copytree(kept, place, dirs_exist_ok=True)


def filled(place: Path, room: int) -> Path:
    """Leave so many bytes on the disk and no more."""
    free = os.statvfs(place)
    filler = place / ".filler"
    with filler.open("wb") as file:
        os.posix_fallocate(file.fileno(), 0, max(free.f_bavail * free.f_frsize - room, 1))
    return filler


@pytest.mark.parametrize(
    "name", [name if name in QUICK else pytest.param(name, marks=pytest.mark.full) for name in EVERY]
)
def test_on_a_full_disk_it_is_one_sentence_and_the_next_run_finishes(
    name: str, disk: Path, fixed_secret: None, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """No traceback, no file gone that was there; with room again, all is as if the command had run once."""
    kept = disk.with_name("kept")
    monkeypatch.setattr(sys, "argv", words(EVERY[name], disk))
    code, said = in_little_room(main, PLENTY)
    assert code == 0, said
    expected = left(disk)
    told = []
    for room in LEFT if request.config.getoption("--full") else SAMPLE:
        again(disk, kept)
        before = left(disk)
        filler = filled(disk, room)
        code, said = in_little_room(main, PLENTY)
        filler.unlink()
        lines = [line for line in said.splitlines() if line.startswith("calclib:") or "Traceback" in line]
        assert code == 0 or (code == 1 and len(lines) == 1 and "Traceback" not in said), (room, code, said)
        told += lines
        after = left(disk)
        if name in ONCE and code:
            assert after[2] == before[2], room
        assert set(before[0]) <= set(after[0]) or name == "erase", room
        if code:
            done, more = in_little_room(main, PLENTY)
            assert done == 0, more
        assert left(disk) == expected, room
    assert told, "the disk was never full"
    print(f"{name}: {told}")
