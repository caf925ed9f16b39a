"""Whose file is it: by the names of folders and files, as a hub or a learning management system makes them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from difflib import get_close_matches

from calclib.class_files.names import plain, visible
from calclib.class_files.roster import Roster, Student
from calclib.errors import BadInput

_SHORTEST_WITHIN = 3
# Comparing letter by letter is slow, and students choose names: a hint is for the few that were misspelt.
_MOST_HINTS = 20
_SHORTEST_HINTED, _LONGEST_HINTED = 5, 80
_NEAR = 0.75
_OF_STUDENT = ("id", "name", "hub_user", "lms_name")
_FIELD = re.compile(r"\{([A-Za-z_]+)\}")
_SIDE_BY_SIDE = re.compile(r"\}\{")
# Students choose names: with more fields, or longer names, one could be made that takes hours to compare.
_MOST_FIELDS = 4
# Browsers put .txt or .json behind the name of a notebook that they save.
_ENDING = re.compile(r"\.ipynb(?:\.txt|\.json)?\Z", re.IGNORECASE)
_LONGEST_PATH = 300


def is_notebook_name(name: str) -> bool:
    """Tell whether a file name has the ending of a notebook, also as a browser saves it; not a Mac's own "._" files."""
    return _ENDING.search(name) is not None and not name.startswith("._")


def notebook_stem(name: str) -> str:
    """Return the name of a notebook's file without its ending."""
    return _ENDING.sub("", name)


class Owners:
    """Finds the student to whom a path belongs.

    A student is known by id, hub user, LMS name, and the roster's name where no other student has it. Of the folders
    and the file name, outermost first, one that *is* such a name decides; then one that begins with it; then one that
    holds it as whole words.

    Args:
        roster: The class.
        pattern: How a system names files, for names that aren't found otherwise, such as "{name}_{id}_{file}". A word
            in braces stands for any text; {id}, {name}, {hub_user} and {lms_name} for a student's. With "/" it speaks
            of folders too. The ending .ipynb may be left out.
    """

    def __init__(self, roster: Roster, pattern: str | None = None) -> None:
        self._names = _names(roster)
        self._pattern = _compiled(pattern)
        self._hints = 0
        self._near = _spellings(roster)

    def owner(self, parts: tuple[str, ...], *, hint: bool = True) -> Student | str:
        """Return the student, or a few words that say why there is none; a hint names who is near."""
        if self._pattern is not None:
            return self._by_pattern(parts)
        words = [plain(part) for part in (*parts[:-1], notebook_stem(parts[-1]))]
        for fits in (_is, _begins, _holds):
            for text in words:
                students = self._longest(text, fits)
                if len(students) == 1:
                    return next(iter(students.values()))
                if students:
                    return "could be " + " or ".join(sorted(f"{s.name} ({s.id})" for s in students.values()))
        near = self._hint(words) if hint else ""
        return f"is nobody's: neither a folder nor the file has the name of a student of the roster{near}"

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

    def _by_pattern(self, parts: tuple[str, ...]) -> Student | str:
        assert self._pattern is not None
        path = "/".join(parts)
        found = self._pattern.fullmatch(path) if len(path) <= _LONGEST_PATH else None
        if found is None:
            return "doesn't fit the pattern"
        named = [self._names.get(plain(text)) for text in found.groups()]
        students = {student.id: student for student in named if student is not None}
        if len(students) > 1:
            return "speaks of two students: " + " and ".join(sorted(students))
        return next(iter(students.values()), "is nobody's: no student of the roster has that name")

    def _longest(self, text: str, fits: Callable[[str, str], bool]) -> Mapping[str, Student]:
        names = [name for name in self._names if fits(text, name)]
        longest = max((len(name) for name in names), default=0)
        students = (self._names[name] for name in names if len(name) == longest)
        return {student.id: student for student in students}


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


def _is(text: str, name: str) -> bool:
    return text == name


def _begins(text: str, name: str) -> bool:
    return text.startswith(f"{name} ")


def _holds(text: str, name: str) -> bool:
    return len(name) >= _SHORTEST_WITHIN and f" {name} " in f" {text} "


def _compiled(pattern: str | None) -> re.Pattern[str] | None:
    if pattern is None:
        return None
    fields = _FIELD.findall(pattern)
    if not any(field in _OF_STUDENT for field in fields):
        raise BadInput(
            f"The pattern '{visible(pattern)}' names no student: use {{id}}, {{name}}, {{hub_user}} or {{lms_name}}."
        )
    if len(fields) > _MOST_FIELDS or _SIDE_BY_SIDE.search(pattern):
        advice = f"use up to {_MOST_FIELDS} words in braces, with signs such as _ between"
        raise BadInput(f"The pattern '{visible(pattern)}' can't be told apart: {advice}.")
    text = re.escape(pattern.removesuffix(".ipynb")).replace(r"\{", "{").replace(r"\}", "}")
    body = _FIELD.sub(lambda field: "([^/]+?)" if field.group(1) in _OF_STUDENT else "[^/]*?", text)
    return re.compile(rf"(?:.*/)?{body}(?:\.ipynb(?:\.txt|\.json)?)?", re.IGNORECASE)
