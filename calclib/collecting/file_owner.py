"""Whose file is it: by the names of folders and files, as a hub or a learning management system makes them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from calclib.class_files.names import plain, visible
from calclib.class_files.roster import Roster, Student
from calclib.collecting.name_pattern import NamePattern

_SHORTEST_WITHIN = 3
# Comparing letter by letter is slow, and students choose names: a hint is for the few that were misspelt.
_MOST_HINTS = 20
_SHORTEST_HINTED, _LONGEST_HINTED = 5, 80
_NEAR = 0.75
# Browsers put .txt or .json behind the name of a notebook that they save.
_ENDING = re.compile(r"\.ipynb(?:\.txt|\.json)?\Z", re.IGNORECASE)
_ZIP = re.compile(r"\.zip\Z", re.IGNORECASE)


def is_notebook_name(name: str) -> bool:
    """Tell whether a file name has the ending of a notebook, also as a browser saves it; not a Mac's own "._" files."""
    return _ENDING.search(name) is not None and not name.startswith("._")


def notebook_stem(name: str) -> str:
    """Return the name of a notebook's file without its ending."""
    return _ENDING.sub("", name)


@dataclass(frozen=True)
class Owned:
    """Whose a path is, and which of its parts says so, counted from 0."""

    student: Student
    at: int


class Owners:
    """Finds the student to whom a path belongs.

    A student is known by id, hub user, LMS name, and the roster's name where no other student has it. The outermost of
    the folders, zips and the file that has a student's name decides: what lies within is the student's, whatever it
    is called. Of one part of the path, a name that it *is* comes before one that it begins with, and that before those
    that it holds as whole words.

    Args:
        roster: The class.
        pattern: How a system names files, for names that aren't found otherwise, such as "{name}_{id}_{file}". A word
            in braces stands for any text; {id}, {name}, {hub_user} and {lms_name} for a student's. With "/" it speaks
            of folders too. The ending .ipynb may be left out.
    """

    def __init__(self, roster: Roster, pattern: str | None = None) -> None:
        self._names = _names(roster)
        self._most_words = max((len(name.split()) for name in self._names), default=0)
        self._pattern = None if pattern is None else NamePattern(pattern)
        self._hints = 0
        self._near = _spellings(roster)

    def owner(self, parts: tuple[str, ...], *, hint: bool = True) -> Student | str:
        """Return the student, or a few words that say why there is none; a hint names who is near."""
        found = self.owned(parts, hint=hint)
        return found.student if isinstance(found, Owned) else found

    def owned(self, parts: tuple[str, ...], *, hint: bool = True) -> Owned | str:
        """Return the student with the part of the path that says so; see `owner`."""
        bare = (*(_ZIP.sub("", part) for part in parts[:-1]), _ZIP.sub("", notebook_stem(parts[-1])))
        if self._pattern is not None:
            return self._by_pattern(self._pattern, bare)
        words = [plain(part) for part in bare]
        for at, text in enumerate(words):
            students = self._named(text)
            if len(students) == 1:
                return Owned(next(iter(students.values())), at)
            if students:
                return "could be " + " or ".join(sorted(f"{s.name} ({s.id})" for s in students.values()))
        near = self._hint(words) if hint else ""
        return f"is nobody's: neither a folder nor the file has the name of a student of the roster{near}"

    def is_name(self, text: str) -> bool:
        """Tell whether a text is a student's name, with nothing more."""
        return plain(text) in self._names

    def _hint(self, words: list[str]) -> str:
        """The student whose name is nearest to one of the words, as a question."""
        self._hints += 1
        if self._hints > _MOST_HINTS:
            return ""
        texts = (text.replace(" ", "")[:_LONGEST_HINTED] for text in words)
        for text in texts:
            # Of two short ids that differ in a digit neither is a misspelling.
            near = get_close_matches(text, self._near, n=1, cutoff=_NEAR) if len(text) >= _SHORTEST_HINTED else ()
            if near:
                student = self._near[near[0]]
                return f" (did you mean {visible(student.name)}, {student.id}?)"
        return ""

    def _by_pattern(self, pattern: NamePattern, parts: tuple[str, ...]) -> Owned | str:
        fits = False
        # The outermost folders that fit decide: what lies within a student's is called as the student likes.
        for end in range(1, len(parts) + 1):
            found = pattern.students_in(parts[:end])
            if found is None:
                continue
            fits = True
            named = [self._names.get(plain(text)) for text in found]
            students = {student.id: student for student in named if student is not None}
            if len(students) > 1:
                return "speaks of two students: " + " and ".join(sorted(students))
            if students:
                return Owned(next(iter(students.values())), end - 1)
        return "is nobody's: no student of the roster has that name" if fits else "doesn't fit the pattern"

    def _named(self, text: str) -> Mapping[str, Student]:
        """The students whom a text names: the one that it is, else that it begins with, else all that it holds."""
        words = text.split()
        for length in range(min(len(words), self._most_words), 0, -1):
            student = self._names.get(" ".join(words[:length]))
            if student is not None:
                return {student.id: student}
        found: dict[str, Student] = {}
        end_of_last = 0
        for start in range(1, len(words)):
            for end in range(min(len(words), start + self._most_words), max(start, end_of_last), -1):
                name = " ".join(words[start:end])
                if len(name) >= _SHORTEST_WITHIN and name in self._names:
                    student = self._names[name]
                    found[student.id] = student
                    # A name within a longer one isn't meant.
                    end_of_last = end
                    break
        return found


def _names(roster: Roster) -> dict[str, Student]:
    names: dict[str, Student] = {}
    for student in roster.students:
        for name in (student.id, student.hub_user, student.lms_name):
            if name:
                names[plain(name)] = student
    shown: dict[str, list[Student]] = {}
    for student in roster.students:
        shown.setdefault(plain(student.name), []).append(student)
    for name, students in shown.items():
        if len(students) == 1:
            names.setdefault(name, students[0])
    names.pop("", None)
    return names


def _spellings(roster: Roster) -> dict[str, Student]:
    """The names of each student without spaces, the roster's also with the last word first."""
    found: dict[str, Student] = {}
    for student in roster.students:
        words = plain(student.name).split()
        for name in (
            student.id,
            student.hub_user,
            student.lms_name,
            student.name,
            " ".join([*words[-1:], *words[:-1]]),
        ):
            found.setdefault(plain(name).replace(" ", ""), student)
    found.pop("", None)
    return found
