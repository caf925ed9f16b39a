"""Whose file is it: by the names of folders and files, as a hub or a learning management system makes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from calclib.class_files.names import NOTEBOOK_ENDING, ZIP_ENDING, name_key, visible
from calclib.class_files.roster import Roster, Student
from calclib.collecting.name_pattern import NamePattern
from calclib.wording import Fact, fact

_SHORTEST_WITHIN = 3
# Comparing letter by letter is slow, and students choose names: a hint is for the few that were misspelt.
_MOST_HINTS = 20
_SHORTEST_HINTED, _LONGEST_HINTED = 5, 80
_NEAR = 0.75


def is_notebook_name(name: str) -> bool:
    """Tell whether a file name has the ending of a notebook, also as a browser saves it; not a Mac's own "._" files."""
    return NOTEBOOK_ENDING.search(name) is not None and not name.startswith("._")


def notebook_stem(name: str) -> str:
    """Return the name of a notebook's file without its ending."""
    return NOTEBOOK_ENDING.sub("", name)


@dataclass(frozen=True)
class Owned:
    """Whose a path is, and which of its parts says so, counted from 0."""

    student: Student
    at: int


class Owners:
    """Finds the student to whom a path belongs.

    A student is known by id, hub user, LMS name, and the roster's name where no other student has it; one name that
    several have (in classes older than the check of `read_new_roster`) is nobody's. The outermost of
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

    def owner(self, parts: tuple[str, ...], *, hint: bool = True) -> Student | Fact:
        """Return the student, or why there is none and what to do; a hint names who is near."""
        found = self.owned(parts, hint=hint)
        return found.student if isinstance(found, Owned) else found

    def owned(self, parts: tuple[str, ...], *, hint: bool = True) -> Owned | Fact:
        """Return the student with the part of the path that says so; see `owner`."""
        bare = (*(ZIP_ENDING.sub("", part) for part in parts[:-1]), ZIP_ENDING.sub("", notebook_stem(parts[-1])))
        if self._pattern is not None:
            return self._by_pattern(self._pattern, bare)
        words = [name_key(part) for part in bare]
        for at, text in enumerate(words):
            students = self._named(text)
            if students:
                return self._one_of(students, at)
        near = self._hint(words) if hint else None
        if near is None:
            return fact("collecting.nobodys_name")
        return fact("collecting.nobodys_name_near", name=visible(near.name), id=near.id)

    def _one_of(self, students: Mapping[str, Student], at: int) -> Owned | Fact:
        """The one student whom a part of a path names, or a sentence on those who can't be told apart by it."""
        if len(students) == 1:
            return Owned(next(iter(students.values())), at)
        several = sorted(students.values(), key=lambda one: (one.name, one.id))
        could_be = tuple(map(told_of, several))
        names = [(one, self._own_name(one)) for one in several]
        own = tuple(
            fact("collecting.name_for", name=visible(name), student=told_of(one)) for one, name in names if name
        )
        if own:
            return fact("collecting.could_be", students=could_be, names=own)
        return fact("collecting.could_be_nameless", students=could_be)

    def _own_name(self, student: Student) -> str:
        """A name that finds the student and nobody else, "" if there is none."""
        names = (*(text for _, text in student.known_by()), student.name)
        return next((name for name in names if set(self._names.get(name_key(name), ())) == {student.id}), "")

    def is_name(self, text: str) -> bool:
        """Tell whether a text is a student's name, with nothing more."""
        return name_key(text) in self._names

    def _hint(self, words: list[str]) -> Student | None:
        """The student whose name is nearest to one of the words, if one is near."""
        self._hints += 1
        if self._hints > _MOST_HINTS:
            return None
        texts = (text.replace(" ", "")[:_LONGEST_HINTED] for text in words)
        for text in texts:
            # Of two short ids that differ in a digit neither is a misspelling.
            near = get_close_matches(text, self._near, n=1, cutoff=_NEAR) if len(text) >= _SHORTEST_HINTED else ()
            if near:
                return self._near[near[0]]
        return None

    def _by_pattern(self, pattern: NamePattern, parts: tuple[str, ...]) -> Owned | Fact:
        fits = False
        # The outermost folders that fit decide: what lies within a student's is called as the student likes.
        for end in range(1, len(parts) + 1):
            found = pattern.students_in(parts[:end])
            if found is None:
                continue
            fits = True
            named = [students for text in found if (students := self._names.get(name_key(text)))]
            if named:
                # One field that says which of two it is decides for another that doesn't.
                both = [one for one in named[0] if all(one in students for students in named)]
                several = {id_: student for students in named for id_, student in students.items()}
                return self._one_of({both[0]: named[0][both[0]]} if len(both) == 1 else several, end - 1)
        return fact("collecting.nobodys_in_pattern" if fits else "collecting.not_in_pattern")

    def _named(self, text: str) -> Mapping[str, Student]:
        """The students whom a text names: the one that it is, else that it begins with, else all that it holds."""
        words = text.split()
        for length in range(min(len(words), self._most_words), 0, -1):
            students = self._names.get(" ".join(words[:length]))
            if students:
                return students
        found: dict[str, Student] = {}
        end_of_last = 0
        for start in range(1, len(words)):
            for end in range(min(len(words), start + self._most_words), max(start, end_of_last), -1):
                name = " ".join(words[start:end])
                if len(name) >= _SHORTEST_WITHIN and name in self._names:
                    found |= self._names[name]
                    # A name within a longer one isn't meant.
                    end_of_last = end
                    break
        return found


def told_of(student: Student) -> Fact:
    """Return a student as notices name one: “Ann Ash (ann)”."""
    return fact("collecting.who", name=visible(student.name), id=student.id)


def _names(roster: Roster) -> dict[str, dict[str, Student]]:
    """The students whom each name means, by id: more than one where it can't tell them apart."""
    names: dict[str, dict[str, Student]] = {}
    for student in roster.students:
        for _, name in student.known_by():
            names.setdefault(name_key(name), {})[student.id] = student
    shown: dict[str, dict[str, Student]] = {}
    for student in roster.students:
        shown.setdefault(name_key(student.name), {})[student.id] = student
    for name, students in shown.items():
        if len(students) == 1:
            names.setdefault(name, students)
    return names


def _spellings(roster: Roster) -> dict[str, Student]:
    """The names of each student without spaces, the roster's also with the last word first."""
    found: dict[str, Student] = {}
    for student in roster.students:
        words = name_key(student.name).split()
        for name in (
            student.id,
            student.hub_user,
            student.lms_name,
            student.name,
            " ".join([*words[-1:], *words[:-1]]),
        ):
            found.setdefault(name_key(name).replace(" ", ""), student)
    found.pop("", None)
    return found
