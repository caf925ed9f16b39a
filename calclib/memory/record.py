"""What is kept of a student's practice."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from types import MappingProxyType
from typing import Any, NamedTuple

from calclib.errors import BadInput
from calclib.wording.facts import fact

VERSION = 1
KEPT_OF_A_SKILL = 60
"""Problems of one skill that are kept; older ones are dropped, what is due stays."""


class NewerRecord(BadInput):
    """A record of a version that this one doesn't know."""


class Practiced(NamedTuple):
    """A problem that ended.

    Args:
        at: When, in UTC.
        day: The day on the student's own calendar.
        unaided: Whether it was right at the first try and without help.
        mixed: Whether the problem before it, in any box or set, was of another kind.
    """

    at: datetime
    day: date
    unaided: bool
    mixed: bool


class Skill(NamedTuple):
    """What is kept of one skill: its problems, oldest first, when it is due, and the scheduler's own card."""

    practiced: tuple[Practiced, ...] = ()
    due: datetime | None = None
    card: Mapping[str, Any] = MappingProxyType({})


class Memory(NamedTuple):
    """All that is kept: each skill by its name, the day of the exam, if one was given, and the problems of sets.

    A problem of a practice set has the same numbers each time, so it counts once: `counted` holds those that did.
    """

    skills: Mapping[str, Skill] = MappingProxyType({})
    exam: date | None = None
    counted: frozenset[str] = frozenset()

    def last_skill(self) -> str | None:
        """Return the skill of the problem that ended last, None if there was none."""
        ended = {name: skill.practiced[-1].at for name, skill in self.skills.items() if skill.practiced}
        return max(ended, key=lambda name: ended[name]) if ended else None

    def to_record(self) -> dict[str, Any]:
        """Return the memory as values that JSON can hold."""
        return {
            "version": VERSION,
            "exam": self.exam.isoformat() if self.exam else None,
            "skills": {name: _skill_record(skill) for name, skill in sorted(self.skills.items())},
            "counted": sorted(self.counted),
        }


def memory_from_record(record: Any) -> Memory:
    """Return the memory that `Memory.to_record` recorded.

    Raises:
        NewerRecord: It is one of a newer version.
        BadInput: It is no such record.
    """
    try:
        version = int(record["version"])
        if version > VERSION:
            raise NewerRecord(fact("errors_memory.newer"))
        exam = date.fromisoformat(record["exam"]) if record.get("exam") else None
        skills = {str(name): _skill(skill) for name, skill in record["skills"].items()}
        return Memory(skills, exam, frozenset(map(str, record.get("counted", ()))))
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise BadInput(fact("errors_memory.damaged")) from error


def _skill_record(skill: Skill) -> dict[str, Any]:
    return {
        "due": skill.due.isoformat() if skill.due else None,
        "card": dict(skill.card),
        "practiced": [[one.at.isoformat(), one.day.isoformat(), one.unaided, one.mixed] for one in skill.practiced],
    }


def _skill(record: Mapping[str, Any]) -> Skill:
    practiced = tuple(
        Practiced(_instant(at), date.fromisoformat(day), _truth(unaided), _truth(mixed))
        for at, day, unaided, mixed in record["practiced"]
    )
    card = record["card"]
    if not isinstance(card, dict):
        raise TypeError("a card is a table")
    return Skill(practiced, _instant(record["due"]) if record["due"] else None, card)


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text).astimezone(UTC)


def _truth(value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError("neither true nor false")
    return value
