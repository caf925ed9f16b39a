"""The file of a student's practice: private, replaced whole, and never lost for being damaged."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from calclib.errors import BadInput
from calclib.memory.record import Memory, NewerRecord, memory_from_record

VARIABLE = "CALCLIB_PRACTICE_FILE"
MOST_BYTES = 5_000_000


class Opened(NamedTuple):
    """A memory that was read.

    Args:
        memory: What is kept.
        notice: A sentence where something was wrong with the file, "" for nothing.
        writable: Whether the file may be replaced; one that could not be read or put aside stays as it is.
    """

    memory: Memory
    notice: str = ""
    writable: bool = True


def practice_file() -> Path:
    """Return where a student's practice is kept: in the home folder, on a hub as on a laptop."""
    named = os.environ.get(VARIABLE, "").strip()
    return Path(named) if named else Path.home() / ".calclib" / "practice.json"


def read_memory(path: Path) -> Opened:
    """Return what a file keeps; a file that can't be used is put aside under another name.

    Args:
        path: The file.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BadInput("the file of your practice is far too large")
        return Opened(memory_from_record(json.loads(path.read_text("utf-8"))))
    except FileNotFoundError:
        return Opened(Memory())
    except OSError as error:
        reason = error.strerror or "the file is locked"
        return Opened(Memory(), f"Your earlier practice could not be read ({reason}); nothing is added to it.", False)
    except NewerRecord as error:
        return Opened(Memory(), f"Your earlier practice could not be read: {error}; nothing is added to it.", False)
    except (ValueError, RecursionError, BadInput) as error:
        return _put_aside(path, str(error) if isinstance(error, BadInput) else "the file of your practice is damaged")


def write_memory(path: Path, memory: Memory) -> None:
    """Write a file whole or not at all; only its owner can read it.

    Args:
        path: The file.
        memory: What is kept.

    Raises:
        BadInput: It can't be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")  # made for its owner alone
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(memory.to_record(), file, indent=1)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise BadInput(f"your practice could not be kept in {path} ({reason}); you can still go on") from error


def kept_in(path: Path, change: Callable[[Memory], Memory]) -> Opened:
    """Change what a file keeps: it is read again first, for another lesson may have written it since.

    Args:
        path: The file.
        change: From what was kept to what is kept now.

    Raises:
        BadInput: It can't be written.
    """
    opened = read_memory(path)
    memory = change(opened.memory)
    if opened.writable:
        write_memory(path, memory)
    return opened._replace(memory=memory)


def _put_aside(path: Path, reason: str) -> Opened:
    """Rename a file that can't be used, and say so."""
    place = next(
        place for n in range(1, 10_000) if not (place := path.with_name(f"{path.stem}-damaged-{n}.json")).exists()
    )
    try:
        path.replace(place)
    except OSError:
        return Opened(Memory(), f"Your earlier practice could not be used: {reason}; nothing is added to it.", False)
    return Opened(Memory(), f"Your practice starts over: {reason}. What was there is kept as {place.name}.")
