"""Who is allowed what in a set: a list for faculty, never for students."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

from calclib.class_files import class_folder
from calclib.class_files.accommodations import Accommodations
from calclib.class_files.set_rules import recorded_rules
from calclib.gradebook import StudentResult, set_results
from calclib.quantity.writing import write_number
from calclib.records.lateness import DueKind
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import Fact, fact, said


def accommodation_lines(folder: Path, set_name: str) -> Iterator[str]:
    """Yield the lines of the list: the class's own times first, then each student who is allowed something else.

    Args:
        folder: The class folder.
        set_name: The set.

    Raises:
        BadInput: no such set was handed out, or the class folder is wrong.
    """
    results = set_results(class_folder(folder), set_name)
    sealed, zone = results.sealed, zone_of(results.sealed)
    minutes = recorded_rules(sealed.blueprint).minutes
    time = fact("accommodation.working_time", minutes=minutes) if minutes else fact("accommodation.no_working_time")
    due = _due(sealed.due, zone)
    yield said("accommodation.class", title=sealed.title, set=sealed.name, minutes=time, due=due)
    found = False
    for one in results.students:
        allowed = tuple(_allowed(one, sealed.name, minutes, zone))
        if allowed:
            found = True
            who = fact("report.who", name=one.student.name, id=one.student.id)
            yield f"  {said('accommodation.student', who=who, allowed=allowed)}"
    if not found:
        yield said("accommodation.nobody")


def _due(due: dt.datetime | None, zone: dt.tzinfo) -> Fact:
    return fact("accommodation.due", time=time_in_words(due, zone)) if due else fact("accommodation.no_due")


def _allowed(one: StudentResult, set_name: str, minutes: int | None, zone: dt.tzinfo) -> Iterator[Fact]:
    allowed = one.student.accommodations.in_set(set_name, one.attempt)
    yield from _working_time(allowed, minutes)
    if allowed.breaks:
        yield fact("accommodation.breaks", breaks=allowed.breaks)
    if allowed.format:
        yield fact("accommodation.format", format=allowed.format)
    if one.due.time is not None and (one.due.kind is DueKind.OWN or one.due.extra_minutes):
        yield _due(one.due.time, zone)
    if one.due.kind is DueKind.MADE_LATER:
        yield fact("accommodation.made_later")
    extra = one.student.accommodations.in_set(set_name).extra_attempts
    if extra:
        yield fact("accommodation.more_attempts", count=extra)


def _working_time(allowed: Accommodations, minutes: int | None) -> Iterator[Fact]:
    if allowed.working_time == 1:
        return
    factor = write_number(allowed.working_time, 2)
    if minutes:
        long = write_number(Fraction(minutes) * allowed.working_time, 1)
        yield fact("accommodation.times_minutes", factor=factor, minutes=long)
    else:
        yield fact("accommodation.times", factor=factor)
