"""Files that come from students, in a folder or a zip: found without following links, read with a bound."""

from __future__ import annotations

import datetime as dt
import io
import os
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.collecting.file_owner import is_notebook_name
from calclib.collecting.plain_file import LARGEST_NOTEBOOK, Damaged, read_plain_file, too_large
from calclib.collecting.receipts import RECEIPTS
from calclib.errors import BadInput
from calclib.records.set_aside import SetAsideKind

_MOST_FILES = 100_000
_LARGEST_ZIP_IN_FOLDER = 200_000_000
_MOST_TIMES_SMALLER = 1_000
_DEEPEST = 20
_ENCRYPTED = 0x1
# Where a zip counts from; a file that is older was stamped by no clock.
_FIRST_TIME = dt.datetime(1981, 1, 1, tzinfo=dt.UTC)
# Left by operating systems and by Jupyter, never by a student.
_PASSED_OVER = {"__MACOSX", ".ipynb_checkpoints", ".git"}
_LEFT_BY_SYSTEMS = {"thumbs.db", "desktop.ini", *RECEIPTS}


@dataclass(frozen=True)
class Incoming:
    """One notebook that came in.

    Attributes:
        parts: Folders and file name, outermost first.
        time: When it was handed in, as the file system or the archive tells.
        read: Returns its bytes, or why it can't be read.
        certain: Whether the time is one that can be; otherwise it is the time of collecting.
        owner: The student whose account handed it in, where the system tells; otherwise names have to.
    """

    parts: tuple[str, ...]
    time: dt.datetime
    read: Callable[[], bytes | Damaged]
    owner: Student | None = None
    certain: bool = True

    @property
    def label(self) -> str:
        """The path as it can be shown."""
        return visible_path(self.parts)


@dataclass(frozen=True)
class Stray:
    """A plain file that isn't a notebook by its name; it is never opened.

    Attributes:
        parts: Folders and file name, outermost first.
    """

    parts: tuple[str, ...]

    @property
    def label(self) -> str:
        """The path as it can be shown."""
        return visible_path(self.parts)


def visible_path(parts: tuple[str, ...]) -> str:
    """Return a path with everything made visible that doesn't print, cut where it is long."""
    return "/".join(visible(part) for part in parts[-4:])


def incoming(source: Path, *, now: dt.datetime, since: dt.datetime) -> Iterator[Incoming | Stray | str]:
    """Yield the notebooks of a folder or zip in the order of their names, a sentence for each that is refused, and
    whatever else a person may have put there.

    Args:
        source: A folder or a zip.
        now: The time; nothing is taken as later than that.
        since: When the set was handed out; an archive that says an earlier time is wrong.

    Raises:
        BadInput: `source` is neither a folder nor a zip that can be read.
    """
    if source.is_dir():
        yield from _in_folder(source, now, since)
    elif source.is_file() and zipfile.is_zipfile(source):
        with source.open("rb") as file:
            yield from _in_zip(file, (), now, since, source.name)
    elif source.exists():
        raise BadInput("This is neither a folder nor a zip: unpack it, or save it as a zip.", where=source.name)
    else:
        raise BadInput(f"There is no folder or zip {source}: check the name.")


def _in_folder(source: Path, now: dt.datetime, since: dt.datetime) -> Iterator[Incoming | Stray | str]:
    count = 0
    pending = [source]
    # A list of folders instead of a recursion, which folders within folders would exhaust.
    while pending:
        folder = pending.pop()
        parts = folder.relative_to(source).parts
        try:
            if len(parts) > _DEEPEST:
                raise OSError(0, f"it lies more than {_DEEPEST} folders deep")
            entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
        except OSError as error:
            yield f"{visible_path(parts) or source.name} can't be looked into ({error.strerror})."
            continue
        inner = [Path(one) for one in entries if one.is_dir(follow_symlinks=False) and one.name not in _PASSED_OVER]
        pending += reversed(inner)
        files = [one for one in entries if _may_matter(one)]
        if folder.name.endswith(".ipynb") and not inner and not files:
            yield f"{visible_path(parts)} is a folder and holds no notebook."
        count += len(files)
        if count > _MOST_FILES:
            raise BadInput(f"The folder holds more than {_MOST_FILES:,} notebooks: is it the right one?")
        for one in files:
            yield from _file_in_folder(Path(one), (*parts, one.name), now, since)
        for one in entries:
            if _is_stray((*parts, one.name)) and one.is_file(follow_symlinks=False):
                yield Stray((*parts, one.name))


def _may_matter(entry: os.DirEntry[str]) -> bool:
    wanted = is_notebook_name(entry.name) or entry.name.endswith(".zip")
    if entry.is_symlink():
        return wanted or (entry.is_dir() and entry.name not in _PASSED_OVER)
    return wanted and not entry.is_dir(follow_symlinks=False)


def _is_stray(parts: tuple[str, ...]) -> bool:
    """Whether a name is one that a person gave to a file that is no notebook, rather than a system."""
    name = parts[-1].casefold()
    if not name or is_notebook_name(name) or name.endswith(".zip") or name in _LEFT_BY_SYSTEMS:
        return False
    return not any(part.startswith((".", "~$")) or part in _PASSED_OVER for part in parts if part not in (".", ".."))


def _file_in_folder(
    path: Path, parts: tuple[str, ...], now: dt.datetime, since: dt.datetime
) -> Iterator[Incoming | Stray | str]:
    try:
        state = path.lstat()
    except OSError as error:
        yield f"{visible_path(parts)} can't be opened ({error.strerror})."
        return
    if stat.S_ISLNK(state.st_mode):
        yield f"{visible_path(parts)} is a link, not a file, and was left alone."
    elif not stat.S_ISREG(state.st_mode):
        yield f"{visible_path(parts)} isn't a plain file and was left alone."
    elif is_notebook_name(path.name):
        time = file_time(state, now)
        # Unpacked from an archive that keeps no times.
        certain = time >= _FIRST_TIME
        yield Incoming(parts, time if certain else now, lambda: read_plain_file(path), certain=certain)
    elif state.st_size > _LARGEST_ZIP_IN_FOLDER or not zipfile.is_zipfile(path):
        yield f"{visible_path(parts)} isn't a zip that can be read, or is too large: unpack it."
    else:
        with path.open("rb") as file:
            yield from _in_zip(file, parts, now, since, visible_path(parts))


def file_time(state: os.stat_result, now: dt.datetime) -> dt.datetime:
    """Return when a file was changed, never later than now; now where the file says something impossible."""
    try:
        return min(dt.datetime.fromtimestamp(state.st_mtime, dt.UTC), now)
    except (ValueError, OverflowError, OSError):
        return now


def _in_zip(
    file: IO[bytes], above: tuple[str, ...], now: dt.datetime, since: dt.datetime, label: str
) -> Iterator[Incoming | Stray | str]:
    try:
        with zipfile.ZipFile(file) as archive:
            entries = archive.infolist()
            if len(entries) > _MOST_FILES:
                yield f"{label} holds more than {_MOST_FILES:,} files and was left alone."
                return
            for entry in sorted(entries, key=lambda one: one.filename):
                found = _entry(archive, entry, above, now, since, label)
                if found is not None:
                    yield found
    except (zipfile.BadZipFile, OSError, NotImplementedError, ValueError):
        yield f"{label} is a damaged zip: fetch it again."


def _entry(
    archive: zipfile.ZipFile,
    entry: zipfile.ZipInfo,
    above: tuple[str, ...],
    now: dt.datetime,
    since: dt.datetime,
    label: str,
) -> Incoming | Stray | str | None:
    name = entry.filename
    parts = tuple(name.replace("\\", "/").split("/"))
    if not name:
        return f"{label} holds a file without a name, which was left alone."
    if entry.is_dir() or any(part in _PASSED_OVER for part in parts):
        return None
    shown = f"{label}: {visible_path(parts)}"
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if name.endswith(".zip"):
        return f"{shown} is a zip within a zip: unpack it first."
    if not is_notebook_name(parts[-1]):
        return Stray((*above, *parts)) if kind in (0, stat.S_IFREG) and _is_stray(parts) else None
    # Nothing is ever written where an archive says; a name that would lead elsewhere shows that something is amiss.
    if name.startswith(("/", "\\")) or ".." in parts or ":" in name or "\0" in entry.orig_filename:
        return f"{shown} has a path that leads out of the zip, and was left alone."
    if kind not in (0, stat.S_IFREG):
        return f"{shown} is {'a link' if kind == stat.S_IFLNK else 'a device'}, not a file, and was left alone."
    if entry.flag_bits & _ENCRYPTED:
        return f"{shown} is locked with a password, and was left alone."
    if entry.file_size > LARGEST_NOTEBOOK or entry.file_size > _MOST_TIMES_SMALLER * max(entry.compress_size, 1):
        return f"{shown} {too_large(LARGEST_NOTEBOOK).words}, and was left alone."
    time = _zip_time(entry, now)
    # A zip counts in steps of two seconds.
    certain = time is not None and time + dt.timedelta(seconds=2) > since
    when = time if time is not None and certain else now
    return Incoming((*above, *parts), when, lambda: _entry_bytes(archive, entry), certain=certain)


def _entry_bytes(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes | Damaged:
    out = io.BytesIO()
    try:
        with archive.open(entry) as file:
            # The size in the head of an entry may be a lie: count what really comes.
            while chunk := file.read(1 << 16):
                out.write(chunk)
                if out.tell() > LARGEST_NOTEBOOK:
                    return too_large(LARGEST_NOTEBOOK)
    except (zipfile.BadZipFile, OSError, EOFError, NotImplementedError, RuntimeError, ValueError, zlib.error):
        return Damaged(SetAsideKind.DAMAGED_ZIP)
    return out.getvalue()


def _zip_time(entry: zipfile.ZipInfo, now: dt.datetime) -> dt.datetime | None:
    try:
        # A zip keeps the time of the place where it was made, without saying which: take this machine's.
        return min(dt.datetime(*entry.date_time).astimezone(dt.UTC), now)
    except (ValueError, OverflowError, OSError):
        return None
