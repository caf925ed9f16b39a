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
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import said

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
            raise BadInput(fact("errors_memory.too_large"))
        return Opened(memory_from_record(json.loads(path.read_text("utf-8"))))
    except FileNotFoundError:
        return Opened(Memory())
    except OSError as error:
        reason = error.strerror or fact("errors_memory.locked")
        return Opened(Memory(), said("errors_memory.file_not_read", reason=reason), False)
    except NewerRecord as error:
        return Opened(Memory(), said("errors_memory.practice_not_read", what=error.told), False)
    except (ValueError, RecursionError, BadInput) as error:
        return _put_aside(path, error.told if isinstance(error, BadInput) else fact("errors_memory.damaged"))


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
        raise BadInput(fact("errors_memory.not_kept", path=str(path), reason=reason)) from error


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


def _put_aside(path: Path, what: Fact) -> Opened:
    """Rename a file that can't be used, and say so."""
    place = next(
        place for n in range(1, 10_000) if not (place := path.with_name(f"{path.stem}-damaged-{n}.json")).exists()
    )
    try:
        path.replace(place)
    except OSError:
        return Opened(Memory(), said("errors_memory.practice_not_used", what=what), False)
    return Opened(Memory(), said("errors_memory.starts_over", what=what, file=place.name))
