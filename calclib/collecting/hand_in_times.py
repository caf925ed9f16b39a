"""When something was handed in, as far as it can be believed: nothing is late by a guess.

A learning management system writes a time into the names that it gives (attempt_2026-11-25-10-00-00, or
"8812-9931 - Ann Ash - Nov 25, 2026 1000 AM"), or that a hand-in is late (ash_LATE_8812_week-3.ipynb). The time of a
file may be that of the download, or of unpacking.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from calclib.collecting.incoming_file import Doubt, Stamp, stamp_of

_LONGEST = 400
_NUMBERS = re.compile(
    r"(?<!\d)(20\d\d)[-_.]?(\d\d)[-_.]?(\d\d)[-_ T.]{1,2}(\d\d)[-_:.h]?(\d\d)(?:[-_:.]?(\d\d))?(?:\.\d{1,6})?"
    r"(?!\d)(Z| ?UTC)?"
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = r"(?P<month>[A-Za-z]{3})[a-z]{0,6}\.?"
_CLOCK = r",? (?P<year>20\d\d),? (?P<hour>\d{1,2}):?(?P<minute>\d\d)(?: ?(?P<half>[AaPp])[Mm])?(?!\d)"
_IN_WORDS = (
    re.compile(rf"(?<![A-Za-z]){_MONTH} (?P<day>\d{{1,2}}){_CLOCK}"),
    re.compile(rf"(?<!\d)(?P<day>\d{{1,2}}) {_MONTH}{_CLOCK}"),
)
_LATE = re.compile(r"(?:\A|_)LATE(?:_|\Z)")
# Unpacking takes so long; whoever hands in at the last minute of an exam isn't that close to all others.
_AT_ONCE, _EACH = dt.timedelta(seconds=2), dt.timedelta(milliseconds=50)


@dataclass(frozen=True)
class HandInTime:
    """When a notebook was handed in.

    Attributes:
        time: The time; where it is in doubt, that of collecting, before which it was.
        doubt: Why it isn't believed.
        marked_late: Whether the system that it came from says that it is late.
    """

    time: dt.datetime
    doubt: Doubt = Doubt.NONE
    marked_late: bool = False


@dataclass(frozen=True)
class Told:
    """What is told of one file: by its own time, and by the part of its path that names the student."""

    student: str
    stamp: Stamp
    named: str


def hand_in_times(
    told: Sequence[Told], *, now: dt.datetime, since: dt.datetime, due: bool = True
) -> tuple[HandInTime, ...]:
    """Return when each of the files that came in together was handed in.

    A time in a name is believed where the names of most students have one: then the system wrote it, not the student.
    Times that are all the same are those of one download.

    Args:
        told: What is told of each file.
        now: The time of collecting.
        since: When the set was handed out.
        due: Whether it is due at all; if it isn't, nothing hangs on times that are all the same.
    """
    in_names = [labelled_time(one.named) for one in told]
    students = {one.student for one in told}
    labelled = {one.student for one, time in zip(told, in_names, strict=True) if time is not None}
    by_name = 2 * len(labelled) > len(students)
    found = []
    for one, named in zip(told, in_names, strict=True):
        stamp = stamp_of(named, now=now, since=since) if by_name and named is not None else one.stamp
        found.append(HandInTime(stamp.time, stamp.doubt, _LATE.search(one.named) is not None))
    plain = {
        number: (one.student, found[number].time)
        for number, one in enumerate(told)
        if found[number].doubt is Doubt.NONE and not (by_name and in_names[number] is not None)
    }
    if due and _at_once(plain):
        found = [
            replace(one, time=now, doubt=Doubt.ONE_TIME) if number in plain else one for number, one in enumerate(found)
        ]
    return tuple(found)


def _at_once(plain: Mapping[int, tuple[str, dt.datetime]]) -> bool:
    """Whether the files of several students have all the time of one moment."""
    times = [time for _, time in plain.values()]
    if len({student for student, _ in plain.values()}) < 2:
        return False
    return max(times) - min(times) <= _AT_ONCE + len(times) * _EACH


def labelled_time(name: str) -> dt.datetime | None:
    """Return the first time that a name holds, in this machine's time zone unless it says UTC; None for none."""
    name = name[:_LONGEST]
    places = [(found.start(), _of_numbers(found)) for found in _NUMBERS.finditer(name)]
    places += [(found.start(), _of_words(found)) for form in _IN_WORDS for found in form.finditer(name)]
    times = [(start, time) for start, time in places if time is not None]
    return min(times)[1] if times else None


def _of_numbers(found: re.Match[str]) -> dt.datetime | None:
    year, month, day, hour, minute = (int(found[n]) for n in range(1, 6))
    return _moment((year, month, day, hour, minute, int(found[6] or 0)), utc=bool(found[7]))


def _of_words(found: re.Match[str]) -> dt.datetime | None:
    month = found["month"].lower()
    if month not in _MONTHS:
        return None
    hour = int(found["hour"])
    if found["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found["half"] in "Pp" else 0)
    when = (int(found["year"]), _MONTHS.index(month) + 1, int(found["day"]), hour, int(found["minute"]), 0)
    return _moment(when, utc=False)


def _moment(when: tuple[int, int, int, int, int, int], *, utc: bool) -> dt.datetime | None:
    year, month, day, hour, minute, second = when
    try:
        time = dt.datetime(year, month, day, hour, minute, second, tzinfo=dt.UTC if utc else None)
        return time.astimezone(dt.UTC)
    except (ValueError, OverflowError, OSError):
        return None
