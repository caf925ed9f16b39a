"""Some work killed before its n-th change of a file or row, in its own process, and what is left of a class then."""

from __future__ import annotations

import errno
import multiprocessing
import os
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, MetaData, event, select

from calclib.class_files import class_folder
from calclib.records import reading

# All by which files are changed; each is also counted before a transaction is kept.
_CALLS = ("open", "replace", "rename", "unlink", "rmdir", "mkdir", "chmod", "fsync")
_KILLED = 9
# Ids that nbgrader gives to its rows are random.
_IDS = {"id", "assignment_id", "notebook_id", "cell_id"}


def counted(work: Callable[[], object]) -> int:
    """Do some work, and return how many changes it makes."""
    answers = multiprocessing.get_context("fork").SimpleQueue()

    def child() -> None:
        count = _watched(lambda _number: None)
        work()
        answers.put(count[0])

    assert _ended(child) == 0
    number: int = answers.get()
    return number


def killed_at(work: Callable[[], object], number: int) -> bool:
    """Do some work up to its n-th change, and return whether it got there."""

    def stop(count: int) -> None:
        if count == number:
            os._exit(_KILLED)

    def child() -> None:
        _watched(stop)
        work()

    return _ended(child) == _KILLED


def full_at(command: Callable[[], object], number: int) -> tuple[int, str]:
    """Run a command on a disk that is full from its n-th change on; return its exit code and its errors."""

    def stop(count: int) -> None:
        if count >= number:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "here")

    return _said(command, lambda: _watched(stop, rows=False))


def in_little_room(command: Callable[[], object], most: int) -> tuple[int, str]:
    """Run a command that may make no file longer than so many bytes; return its exit code and its errors.

    The system itself refuses what is written beyond, in files of this program, of SQLite and of other libraries.
    """

    def bounded() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.getrlimit(resource.RLIMIT_FSIZE)[1]))

    return _said(command, bounded)


def _said(command: Callable[[], object], begin: Callable[[], object]) -> tuple[int, str]:
    """Run a command in its own process, after something else; return its exit code and its errors."""
    answers = multiprocessing.get_context("fork").SimpleQueue()

    def child() -> None:
        import io

        sys.stderr, sys.stdout = io.StringIO(), io.StringIO()
        begin()
        code = 0
        try:
            command()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        except BaseException:  # noqa: BLE001 - whatever comes out is what a person would see
            traceback.print_exc()
            code = 2
        answers.put((code, sys.stderr.getvalue()))

    _ended(child)
    found: tuple[int, str] = answers.get()
    return found


def _ended(child: Callable[[], None]) -> int:
    process = multiprocessing.get_context("fork").Process(target=child)
    process.start()
    process.join()
    assert process.exitcode is not None
    return process.exitcode


def _watched(before: Callable[[int], None], *, rows: bool = True) -> list[int]:
    """Call a function with the number of each change before it is made."""
    count = [0]

    def another() -> None:
        count[0] += 1
        before(count[0])

    for name in _CALLS:
        _watch(name, another)
    if rows:
        event.listen(Engine, "commit", lambda _connection: another())
    return count


def _watch(name: str, another: Callable[[], None]) -> None:
    real = getattr(os, name)

    def call(*args: Any, **more: Any) -> Any:
        writes = name != "open" or (len(args) > 1 and isinstance(args[1], int) and args[1] & (os.O_WRONLY | os.O_RDWR))
        if writes:
            another()
        return real(*args, **more)

    setattr(os, name, call)


def rows(folder: Path) -> dict[str, list[str]]:
    """All rows of the database, but for random ids."""
    with reading(class_folder(folder)) as connection:
        tables = MetaData()
        tables.reflect(connection)
        return {
            name: sorted(str({k: v for k, v in row.items() if k not in _IDS}) for row in found)
            for name, table in tables.tables.items()
            for found in [connection.execute(select(table)).mappings()]
        }


def rights(folder: Path) -> dict[str, int]:
    """Who may do what with each file and folder, and its owner; what a killed process left half-written apart."""
    found = (path for path in folder.rglob("*") if not path.name.startswith(".new-"))
    return {str(path.relative_to(folder)): path.lstat().st_mode for path in found if "gradebook" not in path.name}


def files(folder: Path) -> dict[str, bytes]:
    """All files but the database, and what a killed process left half-written."""
    found = (path for path in folder.rglob("*") if path.is_file() and not path.name.startswith(".new-"))
    return {str(path.relative_to(folder)): path.read_bytes() for path in found if "gradebook" not in path.name}
