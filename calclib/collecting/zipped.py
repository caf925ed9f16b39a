"""The notebooks in a zip, and in the zips within: never unpacked, read with a bound on all of them together."""

from __future__ import annotations

import datetime as dt
import io
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import IO

from calclib.collecting.budget import Budget, budget_of_zip
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
from calclib.collecting.plain_file import LARGEST_NOTEBOOK, Damaged, too_large
from calclib.records.set_aside import SetAsideKind
from calclib.wording import Fact, fact, said

_MOST_FILES = 100_000
_MOST_TIMES_SMALLER = 1_000
_ENCRYPTED = 0x1
_DEEPEST = 2
# The list of files at the end of a zip is read whole.
_LARGEST_LIST = 30_000_000
_END, _LONGEST_END = b"PK\5\6", 65_557
_BROKEN = (zipfile.BadZipFile, OSError, EOFError, NotImplementedError, RuntimeError, ValueError, zlib.error)


@dataclass(frozen=True)
class Zipped:
    """A zip that is open for reading.

    Args:
        file: The zip.
        above: Folders and zips in which it lies, itself among them where its name counts.
        label: Its name as it can be shown.
        latest: The zip's own time: nothing in it is later.
        now: The time of collecting.
        since: When the set was handed out.
        around: The zips in which its files lie.
        budget: What may still come out of it; by its size if None.
        depth: In how many zips it lies.
    """

    file: IO[bytes]
    above: tuple[str, ...]
    label: str
    latest: dt.datetime
    now: dt.datetime
    since: dt.datetime
    around: tuple[ZipAround, ...]
    budget: Budget | None = None
    depth: int = 1

    def entries(self) -> Iterator[Incoming | Stray | str]:
        """Yield the notebooks in the order of their names, a sentence for each that is refused, and other files."""
        try:
            size = self.file.seek(0, io.SEEK_END)
            if _list_size(self.file, size) > _LARGEST_LIST:
                yield said("collecting.zip_too_many", file=self.label, most=f"{_MOST_FILES:,}")
                return
            budget = self.budget or budget_of_zip(size)
            with zipfile.ZipFile(self.file) as archive:
                entries = archive.infolist()
                if len(entries) > _MOST_FILES:
                    yield said("collecting.zip_too_many", file=self.label, most=f"{_MOST_FILES:,}")
                    return
                for entry in sorted(entries, key=lambda one: one.filename):
                    yield from self._entry(archive, entry, budget)
        except (zipfile.BadZipFile, OSError, NotImplementedError, ValueError):
            yield said("collecting.zip_damaged", file=self.label)

    def _entry(
        self, archive: zipfile.ZipFile, entry: zipfile.ZipInfo, budget: Budget
    ) -> Iterator[Incoming | Stray | str]:
        name = entry.filename
        parts = tuple(name.replace("\\", "/").split("/"))
        if not name:
            yield said("collecting.zip_nameless", file=self.label)
            return
        if entry.is_dir() or any(part in PASSED_OVER for part in parts):
            return
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if not is_notebook_name(parts[-1]) and not is_zip_name(parts[-1]):
            if kind in (0, stat.S_IFREG) and is_stray(parts):
                yield Stray((*self.above, *parts))
            return
        shown = f"{self.label}: {visible_path(parts)}"
        refused = self._refused(entry, parts, kind)
        if refused:
            yield said("collecting.zip_refused", file=shown, why=refused)
            return
        time = stamp_of(_zip_time(entry), now=min(self.latest, self.now), since=self.since)
        stamp = Stamp(self.now, time.doubt) if time.doubt else time
        whole = (*self.above, *parts)
        if is_zip_name(parts[-1]):
            yield from self._inner(archive, entry, whole, shown, stamp, budget)
        else:
            yield Incoming(whole, stamp, partial(_entry_bytes, archive, entry, budget), zips=self.around)

    def _refused(self, entry: zipfile.ZipInfo, parts: tuple[str, ...], kind: int) -> Fact | None:
        """Why an entry isn't looked into, None if it is."""
        name = entry.filename
        # Nothing is ever written where an archive says; a name that would lead elsewhere shows that something is amiss.
        if name.startswith(("/", "\\")) or ".." in parts or ":" in name or "\0" in entry.orig_filename:
            return fact("collecting.leads_out")
        if kind not in (0, stat.S_IFREG):
            return fact("collecting.is_link" if kind == stat.S_IFLNK else "collecting.is_device")
        if entry.flag_bits & _ENCRYPTED:
            return fact("collecting.locked")
        if is_zip_name(parts[-1]) and self.depth >= _DEEPEST:
            return fact("collecting.zips_within")
        if entry.file_size > LARGEST_NOTEBOOK:
            return too_large(LARGEST_NOTEBOOK).told
        if entry.file_size > _MOST_TIMES_SMALLER * max(entry.compress_size, 1):
            return fact("collecting.packed_too_small", most=f"{_MOST_TIMES_SMALLER:,}")
        return None

    def _inner(
        self,
        archive: zipfile.ZipFile,
        entry: zipfile.ZipInfo,
        parts: tuple[str, ...],
        shown: str,
        stamp: Stamp,
        budget: Budget,
    ) -> Iterator[Incoming | Stray | str]:
        data = _entry_bytes(archive, entry, budget)
        if isinstance(data, Damaged) or not zipfile.is_zipfile(io.BytesIO(data)):
            yield said("collecting.zip_unreadable", file=shown)
            return
        around = (*self.around, ZipAround(len(parts) - 1, stamp))
        yield from Zipped(
            io.BytesIO(data), parts, shown, stamp.time, self.now, self.since, around, budget, self.depth + 1
        ).entries()


def _list_size(file: IO[bytes], size: int) -> int:
    """How many bytes the list of files at the end of a zip has; as many as the zip where that isn't said plainly."""
    file.seek(max(0, size - _LONGEST_END))
    tail = file.read(_LONGEST_END)
    at = tail.rfind(_END)
    if at < 0 or len(tail) < at + 16:
        return 0
    (length,) = struct.unpack("<L", tail[at + 12 : at + 16])
    return min(int(length), size)


def _entry_bytes(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, budget: Budget) -> bytes | Damaged:
    if not budget.one_more():
        return Damaged(SetAsideKind.BEYOND_ITS_ZIP)
    out = io.BytesIO()
    try:
        with archive.open(entry) as file:
            # The size in the head of an entry may be a lie: count what really comes.
            while chunk := file.read(1 << 16):
                out.write(chunk)
                if not budget.take(len(chunk)):
                    return Damaged(SetAsideKind.BEYOND_ITS_ZIP)
                if out.tell() > LARGEST_NOTEBOOK:
                    return too_large(LARGEST_NOTEBOOK)
    except _BROKEN:
        return Damaged(SetAsideKind.DAMAGED_ZIP)
    return out.getvalue()


def _zip_time(entry: zipfile.ZipInfo) -> dt.datetime | None:
    try:
        # A zip keeps the time of the place where it was made, without saying which: take this machine's.
        return dt.datetime(*entry.date_time).astimezone(dt.UTC)
    except (ValueError, OverflowError, OSError):
        return None
