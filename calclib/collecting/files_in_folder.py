"""Files that come from students, in a folder or a zip: found without following links, read with a bound."""

from __future__ import annotations

import datetime as dt
import os
import stat
import zipfile
from collections.abc import Iterator
from pathlib import Path

from calclib.collecting.file_owner import is_notebook_name
from calclib.collecting.incoming_file import (
    PASSED_OVER,
    Incoming,
    Stamp,
    Stray,
    ZipAround,
    is_stray,
    is_zip_name,
    stamp_of,
    visible_path,
)
from calclib.collecting.plain_file import read_plain_file
from calclib.collecting.zipped import Zipped
from calclib.errors import BadInput
from calclib.wording import fact, said

_MOST_FILES = 100_000
_LARGEST_ZIP_IN_FOLDER = 200_000_000
_DEEPEST = 20


def incoming(
    source: Path, *, now: dt.datetime, since: dt.datetime, of_student: bool = False
) -> Iterator[Incoming | Stray | str]:
    """Yield the notebooks of a folder or zip in the order of their names, a sentence for each that is refused, and
    whatever else a person may have put there.

    Args:
        source: A folder or a zip.
        now: The time; nothing is taken as later than that.
        since: When the set was handed out; a file of an earlier time was stamped by no clock.
        of_student: Whether the source is a zip with a student's name; its name is then a part of each path.

    Raises:
        BadInput: `source` is neither a folder nor a zip that can be read.
    """
    if source.is_dir():
        yield from _in_folder(source, now, since)
    elif source.is_file() and zipfile.is_zipfile(source):
        stamp = _file_stamp(source.stat(), now, since)
        around = (ZipAround(0, stamp),) if of_student else ()
        with source.open("rb") as file:
            above = (source.name,) if of_student else ()
            yield from Zipped(file, above, source.name, stamp.time, now, since, around).entries()
    elif source.exists():
        raise BadInput(fact("errors_collecting.no_folder_nor_zip"), where=source.name)
    else:
        raise BadInput(fact("errors_collecting.nothing_there", source=str(source)))


def _in_folder(source: Path, now: dt.datetime, since: dt.datetime) -> Iterator[Incoming | Stray | str]:
    count = 0
    pending = [source]
    # A list of folders instead of a recursion, which folders within folders would exhaust.
    while pending:
        folder = pending.pop()
        parts = folder.relative_to(source).parts
        try:
            if len(parts) > _DEEPEST:
                raise OSError(0, said("collecting.too_deep", most=_DEEPEST))
            entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
        except OSError as error:
            yield said("collecting.closed", file=visible_path(parts) or source.name, error=str(error.strerror))
            continue
        inner = [Path(one) for one in entries if one.is_dir(follow_symlinks=False) and one.name not in PASSED_OVER]
        pending += reversed(inner)
        files = [one for one in entries if _may_matter(one)]
        if folder.name.endswith(".ipynb") and not inner and not files:
            yield said("collecting.folder_as_notebook", file=visible_path(parts))
        count += len(files)
        if count > _MOST_FILES:
            raise BadInput(fact("errors_collecting.too_many_notebooks", most=_MOST_FILES))
        for one in files:
            yield from _file_in_folder(Path(one), (*parts, one.name), now, since)
        for one in entries:
            if is_stray((*parts, one.name)) and one.is_file(follow_symlinks=False):
                yield Stray((*parts, one.name))


def _may_matter(entry: os.DirEntry[str]) -> bool:
    wanted = is_notebook_name(entry.name) or is_zip_name(entry.name)
    if entry.is_symlink():
        return wanted or (entry.is_dir() and entry.name not in PASSED_OVER)
    return wanted and not entry.is_dir(follow_symlinks=False)


def _file_in_folder(
    path: Path, parts: tuple[str, ...], now: dt.datetime, since: dt.datetime
) -> Iterator[Incoming | Stray | str]:
    try:
        state = path.lstat()
    except OSError as error:
        yield said("collecting.cannot_open", file=visible_path(parts), error=str(error.strerror))
        return
    if stat.S_ISLNK(state.st_mode):
        yield said("collecting.link", file=visible_path(parts))
    elif not stat.S_ISREG(state.st_mode):
        yield said("collecting.no_plain_file", file=visible_path(parts))
    elif is_notebook_name(path.name):
        yield Incoming(parts, _file_stamp(state, now, since), lambda: read_plain_file(path))
    elif state.st_size > _LARGEST_ZIP_IN_FOLDER or not zipfile.is_zipfile(path):
        yield said("collecting.no_zip", file=visible_path(parts))
    else:
        stamp = _file_stamp(state, now, since)
        around = (ZipAround(len(parts) - 1, stamp),)
        with path.open("rb") as file:
            yield from Zipped(file, parts, visible_path(parts), stamp.time, now, since, around).entries()


def _file_stamp(state: os.stat_result, now: dt.datetime, since: dt.datetime) -> Stamp:
    try:
        time = dt.datetime.fromtimestamp(state.st_mtime, dt.UTC)
    except (ValueError, OverflowError, OSError):
        time = None
    return stamp_of(time, now=now, since=since)
