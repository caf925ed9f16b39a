"""The one way in which a file that came from a student is read: no link is followed, no pipe waited for."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path

from calclib.records.set_aside import SetAsideKind
from calclib.records.set_aside_facts import unreadable
from calclib.wording.facts import Fact
from calclib.wording.sentences import sentence

LARGEST_NOTEBOOK = 20_000_000
_FOLLOWS_NO_LINK: int = getattr(os, "O_NOFOLLOW", 0)
_READING: int = os.O_RDONLY | _FOLLOWS_NO_LINK | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


@dataclass(frozen=True)
class Damaged:
    """Why a file or notebook can't be read, so that a person has to look at it; see `SetAsideKind`."""

    kind: SetAsideKind
    about: str = ""

    @property
    def told(self) -> Fact:
        """The end of a sentence about the file: "is an empty file"."""
        return unreadable(self.kind, self.about)

    @property
    def words(self) -> str:
        """The same in words."""
        return sentence(self.told)


_NO_FILE = Damaged(SetAsideKind.NO_PLAIN_FILE)


def read_plain_file(path: Path, *, largest: int = LARGEST_NOTEBOOK) -> bytes | Damaged:
    """Return what a plain file holds, or why it can't be read.

    Args:
        path: The file.
        largest: The most bytes that it may have.
    """
    try:
        if not _FOLLOWS_NO_LINK and path.is_symlink():
            return _NO_FILE
        # Neither follow a link nor wait for a pipe, whatever has become of the file since it was found.
        handle = os.open(path, _READING)
    except OSError as error:
        return _cant_open(error) if path.is_file() and not path.is_symlink() else _NO_FILE
    try:
        state = os.fstat(handle)
        if not stat.S_ISREG(state.st_mode):
            return _NO_FILE
        data = _bytes_of(handle, min(state.st_size, largest + 1))
    except OSError as error:
        return _cant_open(error)
    finally:
        os.close(handle)
    return too_large(largest) if len(data) > largest else data


def too_large(largest: int) -> Damaged:
    """Return what a file is that has more bytes than it may."""
    return Damaged(SetAsideKind.TOO_LARGE, str(largest // 1_000_000))


def _cant_open(error: OSError) -> Damaged:
    return Damaged(SetAsideKind.CANT_OPEN, error.strerror or "")


def _bytes_of(handle: int, size: int) -> bytes:
    """As many bytes of a file; a reading may stop short."""
    data = os.read(handle, size)
    while len(data) < size and (more := os.read(handle, size - len(data))):
        data += more
    return data
