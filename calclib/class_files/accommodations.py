"""What single students are allowed beyond the rest of the class, as the roster's `accommodations` column says it.

key             what it allows
extra_minutes   minutes by which every due time is later for the student; it isn't working time
extra_attempts  attempts beyond those of the blueprint
due             a due time of the student's own, for one set (its first attempt) or attempt: a make-up, a late joiner
working_time    times the working time of the class, such as 1.5
breaks          breaks in words, such as 10 minutes each hour
format          what the student needs to read or write it, such as large print; never why

Entries are split by semicolons. One that begins with the name of a set holds for that set alone, and one with a number
too for that attempt: `exam-1: due=2030-12-09T10:00:00-06:00; exam-1/2: extra_minutes=1440`.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NoReturn

from calclib.class_files.names import set_name, visible
from calclib.errors import BadInput
from calclib.quantity.writing import write_number
from calclib.wording.facts import Fact, fact

WHOLE = ("extra_attempts", "extra_minutes")
_WORDS = ("breaks", "format")
KEYS = (*WHOLE, "due", "working_time", *_WORDS)
_LONGEST_WORDS = 80
_MOST_TIMES = 10
# A comma splits too where a further entry follows it; within words it doesn't.
_SPLIT = re.compile(r";|,(?=[^,;]*=)")
_PLACE = re.compile(r"([A-Za-z0-9_-]+)(?:/(\d{1,2}))?:\s*")
_NUMBER = re.compile(r"\d{1,2}(?:\.\d{1,2})?")
_REASONS = re.compile(
    r"\b(?:because|due to|diagnos\w*|disorder|syndrome|disease|disabilit\w*|adhd|dyslexi\w*|autis\w*|anxiety|ptsd)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class OfSet:
    """What holds for one set, or for one attempt at it (0: for all of them)."""

    set_name: str
    attempt: int
    values: tuple[tuple[str, object], ...]


@dataclass(frozen=True)
class Accommodations:
    """What a named student is allowed beyond the rest of the class.

    Attributes:
        extra_attempts: Attempts beyond those of the blueprint.
        extra_minutes: Minutes by which due times are later.
        due: A due time of the student's own; only for a set.
        working_time: Times the working time of the class.
        breaks: Breaks, in words.
        format: What the student needs to read or write it, in words, without a reason.
        of_sets: What holds for single sets and attempts, in the order of the file.
    """

    extra_attempts: int = 0
    extra_minutes: int = 0
    due: dt.datetime | None = None
    working_time: Fraction = Fraction(1)
    breaks: str = ""
    format: str = ""
    of_sets: tuple[OfSet, ...] = ()

    def in_set(self, name: str, attempt: int = 0) -> Accommodations:
        """Return what holds for a set; for one attempt at it if its number is given.

        What is said of an attempt goes over what is said of the set, and that over what is said of all sets. A due time
        that is said of a set is that of its first attempt.
        """
        here = [one for one in self.of_sets if one.set_name == name]
        found = replace(self, of_sets=())
        for one in sorted(here, key=lambda one: one.attempt):
            if one.attempt in (0, attempt):
                values = {
                    name: value for name, value in one.values if name != "due" or (one.attempt or 1) == (attempt or 1)
                }
                found = replace(found, **values)  # type: ignore[arg-type]
        return found


def read_accommodations(text: str, where: str, line: int) -> Accommodations:
    """Return what a cell of the column says.

    Args:
        text: The cell.
        where: The file's name, for messages.
        line: The line, for messages.

    Raises:
        BadInput: an entry isn't known, comes twice, or has a value that doesn't fit it.
    """
    return _Cell(where, line).read(text)


class _Cell:
    def __init__(self, where: str, line: int) -> None:
        self.where, self.line = where, line

    def refuse(self, what: Fact) -> NoReturn:
        raise BadInput(what, where=self.where, line=self.line)

    def read(self, text: str) -> Accommodations:
        for_all: dict[str, object] = {}
        of_sets: dict[tuple[str, int], dict[str, object]] = {}
        for piece in filter(None, map(str.strip, _SPLIT.split(text))):
            place = _PLACE.match(piece)
            entry = piece[place.end() :] if place else piece
            name, equals, value = (part.strip() for part in entry.partition("="))
            if name not in KEYS or not equals:
                self.refuse(fact("errors_class_files.no_accommodation", name=visible(piece), known=tuple(KEYS)))
            table = for_all
            if place:
                key = (set_name(place[1], where=self.where, line=self.line), int(place[2] or 0))
                table = of_sets.setdefault(key, {})
            if name in table:
                self.refuse(fact("errors_class_files.accommodation_twice", name=name))
            table[name] = self.value(name, value)
            self.refuse_misplaced(name, place)
        return Accommodations(
            **for_all,  # type: ignore[arg-type]
            of_sets=tuple(OfSet(name, attempt, tuple(of.items())) for (name, attempt), of in of_sets.items()),
        )

    def refuse_misplaced(self, name: str, place: re.Match[str] | None) -> None:
        if name == "due" and not place:
            self.refuse(fact("errors_class_files.due_without_set"))
        if name == "extra_attempts" and place and place[2]:
            self.refuse(fact("errors_class_files.extra_attempts_of_attempt"))

    def value(self, name: str, text: str) -> object:
        if name in WHOLE:
            if not (text.isascii() and text.isdigit() and len(text) <= 6):
                self.refuse(fact("errors_class_files.accommodation_whole_number", name=name, text=visible(text)))
            return int(text)
        if name == "due":
            return self.time(text)
        if name == "working_time":
            if not _NUMBER.fullmatch(text) or not 1 <= Fraction(text) <= _MOST_TIMES:
                self.refuse(fact("errors_class_files.working_time", most=_MOST_TIMES))
            return Fraction(text)
        if not text or not text.isprintable() or len(text) > _LONGEST_WORDS:
            self.refuse(fact("errors_class_files.accommodation_words", name=name, most=_LONGEST_WORDS))
        if _REASONS.search(text):
            self.refuse(fact("errors_class_files.accommodation_says_why", name=name))
        return text

    def time(self, text: str) -> dt.datetime:
        try:
            time = dt.datetime.fromisoformat(text)
        except ValueError:
            time = None
        if time is None or time.tzinfo is None:
            self.refuse(fact("errors_class_files.due_of_student", text=visible(text)))
        return time


def accommodations_text(extra: Accommodations) -> str:
    """Return the text of the column's cell, as `read_accommodations` reads it."""
    entries = [_entry(name, getattr(extra, name)) for name in KEYS if getattr(extra, name) != getattr(_NONE, name)]
    return "; ".join((*entries, *(entry for one in extra.of_sets for entry in _entries_of_set(one))))


_NONE = Accommodations()


def _entries_of_set(one: OfSet) -> Iterator[str]:
    place = f"{one.set_name}/{one.attempt}" if one.attempt else one.set_name
    for name, value in one.values:
        yield f"{place}: {_entry(name, value)}"


def _entry(name: str, value: object) -> str:
    if isinstance(value, dt.datetime):
        return f"{name}={value.isoformat()}"
    if isinstance(value, Fraction):
        return f"{name}={write_number(value, 2)}"
    return f"{name}={value}"
