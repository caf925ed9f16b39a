"""A place of a set: its item model, its parts, and what takes its place if it goes wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from calclib.records.had_instead import Attempt, HadInstead
from calclib.records.part_letters import part_letters


@dataclass(frozen=True)
class Replacement:
    """The item model that faculty named to take a problem's place if it goes wrong.

    Attributes:
        model: Its id, "" if none was named.
        own: Hash of its recorded text if it is a file of faculty's own, "" if it is the bank's.
    """

    model: str = ""
    own: str = ""


NONE_NAMED = Replacement()


@dataclass(frozen=True)
class Slot:
    """One place of a set: the item model that stands there for everyone, and the points of its parts.

    Attributes:
        number: Place in the set, from 1.
        model: Id of the item model.
        title: Title of the item model.
        skill: Skill of the item model.
        points: Points of each part, by its name, in the order of the parts.
        kinds: Kind of each part ("quantity", "clock", "choice"), by its name.
        own: Hash of the item model's recorded text if it is a file of faculty's own, "" if it is the bank's.
        says: What each part asks, as a noun phrase, by its name; nothing in a set of an older version.
        replacement: What takes its place in later attempts if it goes wrong.
        instead: What stood in its place in single attempts.
    """

    number: int
    model: str
    title: str
    skill: str
    points: Mapping[str, Fraction]
    kinds: Mapping[str, str]
    own: str = ""
    says: Mapping[str, str] = field(default_factory=dict)
    replacement: Replacement = NONE_NAMED
    instead: Mapping[Attempt, HadInstead] = field(default_factory=dict)

    def of_attempt(self, pseudonym: str, attempt: int) -> Slot:
        """Return the place with the problem that a student had there in an attempt."""
        had = self.instead.get((pseudonym, attempt))
        return self if had is None else replace(self, **had._asdict())

    @property
    def titles(self) -> tuple[str, ...]:
        """The titles of the problems that stood there: that which was handed out first, then those in its place."""
        return tuple(dict.fromkeys((self.title, *(had.title for had in self.instead.values()))))

    def words(self, part: str) -> str:
        """Return what people read in the place of a part's name: “pump rate”."""
        return self.says.get(part) or part.replace("_", " ")

    def place(self, part: str) -> str:
        """Return where a part stands as the notebook prints it: "3b", or "3" where the problem has one part."""
        return f"{self.number}{part_letters(self.points)[part]}"
