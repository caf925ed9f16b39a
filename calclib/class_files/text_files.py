"""Text files that faculty write, read with a bound, and files replaced whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from calclib.errors import BadInput
from calclib.errors.unseen import stands_for_nothing, unseen_shown
from calclib.wording.facts import fact

LARGEST = 2_000_000
UNFINISHED = ".new-"
_MARKS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16"}


def read_text_file(path: Path) -> str:
    """Return the text of a UTF-8 file; a byte-order mark at its start is dropped.

    Raises:
        BadInput: the file is missing, too large, or isn't UTF-8, or holds what stands for no letter.
    """
    where = path.name
    try:
        if path.stat().st_size > LARGEST:
            raise BadInput(fact("errors_class_files.file_too_large", megabytes=LARGEST // 1000000), where=where)
        data = path.read_bytes()
    except FileNotFoundError:
        raise BadInput(fact("errors_class_files.no_file", path=str(path)), where=where) from None
    except OSError as error:
        raise BadInput(fact("errors_class_files.file_unreadable", reason=str(error.strerror)), where=where) from None
    if data[:2] in _MARKS:
        raise BadInput(fact("errors_class_files.utf_16"), where=where)
    if b"\0" in data:
        raise BadInput(
            fact("errors_class_files.zero_bytes"),
            where=where,
            line=data[: data.index(b"\0")].count(b"\n") + 1,
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            fact("errors_class_files.no_utf_8"),
            where=where,
            line=data[: error.start].count(b"\n") + 1,
        ) from None
    for place, sign in enumerate(text):
        if sign > "\ufdcf" and stands_for_nothing(sign):
            line = text[:place].count("\n") + 1
            raise BadInput(fact("errors_class_files.no_letter", sign=unseen_shown(sign)), where=where, line=line)
    return text


def replace_file(path: Path, data: bytes, *, mode: int = 0o644, lasting: bool = False) -> bool:
    """Write `data` to `path` as a whole: a reader sees the old file or the new one, never a part.

    Args:
        path: The file.
        data: What it is to hold.
        mode: Who may read it.
        lasting: Whether it must be there also if the machine loses its power right after.

    Returns:
        False if the file already held exactly this.
    """
    if path.is_file() and not path.is_symlink() and path.stat().st_size == len(data) and path.read_bytes() == data:
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=UNFINISHED)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        Path(temporary).chmod(mode)
        Path(temporary).replace(path)
        if lasting:
            _keep_names(path.parent)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return True


def _keep_names(folder: Path) -> None:
    """Let a system that can do so keep the names in a folder."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sweep_unfinished(folder: Path) -> None:
    """Remove what runs that were killed left half-written anywhere within a folder."""
    for path in sorted(folder.rglob(f"{UNFINISHED}*")):
        if path.is_file() and not path.is_symlink():
            path.unlink(missing_ok=True)
        elif path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
