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
from calclib.quantity.counting import counted
from calclib.quantity.writing import write_number
from calclib.records.lateness import DueKind
from calclib.records.set_times import time_in_words, zone_of


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
    time = f"{minutes} minutes of working time" if minutes else "no working time is set"
    yield f"{sealed.title} ({sealed.name}): {time}, {_due_for_all(sealed.due, zone)}."
    found = False
    for one in results.students:
        words = list(_allowed(one, sealed.name, minutes, zone))
        if words:
            found = True
            yield f"  {one.student.name} ({one.student.id}): {'; '.join(words)}"
    if not found:
        yield "Nobody is allowed anything else."


def _due_for_all(due: dt.datetime | None, zone: dt.tzinfo) -> str:
    return f"due {time_in_words(due, zone)}" if due else "no due time"


def _allowed(one: StudentResult, set_name: str, minutes: int | None, zone: dt.tzinfo) -> Iterator[str]:
    allowed = one.student.accommodations.in_set(set_name, one.attempt)
    yield from _working_time(allowed, minutes)
    if allowed.breaks:
        yield f"breaks: {allowed.breaks}"
    if allowed.format:
        yield f"format: {allowed.format}"
    if one.due.time is not None and (one.due.kind is DueKind.OWN or one.due.extra_minutes):
        yield f"due {time_in_words(one.due.time, zone)}"
    if one.due.kind is DueKind.MADE_LATER:
        yield "has the notebook since after the due time, which isn't applied"
    extra = one.student.accommodations.in_set(set_name).extra_attempts
    if extra:
        yield f"{counted(extra, 'attempt')} more than the class"


def _working_time(allowed: Accommodations, minutes: int | None) -> Iterator[str]:
    if allowed.working_time != 1:
        long = f", {write_number(Fraction(minutes) * allowed.working_time, 1)} minutes" if minutes else ""
        yield f"{write_number(allowed.working_time, 2)} times the working time{long}"
