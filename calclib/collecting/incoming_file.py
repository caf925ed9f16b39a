"""A file that came from a student, in a folder or a zip: where it lies, and when it was handed in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.collecting.file_owner import is_notebook_name
from calclib.collecting.plain_file import Damaged
from calclib.collecting.receipts import RECEIPTS

# Left by operating systems and by Jupyter, never by a student.
PASSED_OVER = {"__MACOSX", ".ipynb_checkpoints", ".git"}
_LEFT_BY_SYSTEMS = {"thumbs.db", "desktop.ini", *RECEIPTS}
# A clock may be a little off.
_AHEAD = dt.timedelta(minutes=2)


class Doubt(StrEnum):
    """Why the time of a hand-in isn't believed; the values are what is recorded, and never change."""

    NONE = ""
    IMPOSSIBLE = "impossible"  # before the set was handed out, or no time at all
    AHEAD = "ahead"  # after the download, or after it was collected
    ONE_TIME = "one time"  # that of others' hand-ins too


@dataclass(frozen=True)
class Stamp:
    """A time that a file system or an archive tells.

    Attributes:
        time: The time, or that of collecting where the other can't be.
        doubt: Why it can't be.
    """

    time: dt.datetime
    doubt: Doubt = Doubt.NONE


@dataclass(frozen=True)
class ZipAround:
    """A zip in which a notebook lies: which part of the path it is, and its own time."""

    at: int
    stamp: Stamp


@dataclass(frozen=True)
class Incoming:
    """One notebook that came in.

    Attributes:
        parts: Folders, zips and file name, outermost first.
        stamp: When it was handed in, as the file system or the archive tells.
        read: Returns its bytes, or why it can't be read.
        owner: The student whose account handed it in, where the system tells; otherwise names have to.
        zips: The zips in which it lies, outermost first, as far as they are parts of the path.
    """

    parts: tuple[str, ...]
    stamp: Stamp
    read: Callable[[], bytes | Damaged]
    owner: Student | None = None
    zips: tuple[ZipAround, ...] = ()

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


def is_stray(parts: tuple[str, ...]) -> bool:
    """Whether a name is one that a person gave to a file that is no notebook, rather than a system."""
    name = parts[-1].casefold()
    if not name or is_notebook_name(name) or is_zip_name(name) or name in _LEFT_BY_SYSTEMS:
        return False
    return not any(part.startswith((".", "~$")) or part in PASSED_OVER for part in parts if part not in (".", ".."))


def stamp_of(time: dt.datetime | None, *, now: dt.datetime, since: dt.datetime) -> Stamp:
    """Return a time if it can be that of a hand-in, else that of collecting.

    Args:
        time: What is told, None for a time that there isn't.
        now: The time of collecting.
        since: When the set was handed out.
    """
    # A zip counts in steps of two seconds, and other file systems in whole ones.
    if time is None or time <= since - dt.timedelta(seconds=2):
        return Stamp(now, Doubt.IMPOSSIBLE)
    return Stamp(now, Doubt.AHEAD) if time > now + _AHEAD else Stamp(min(time, now))


def is_zip_name(name: str) -> bool:
    """Tell whether a file name has the ending of a zip; not a Mac's own "._" files."""
    return name.lower().endswith(".zip") and not name.startswith("._")
