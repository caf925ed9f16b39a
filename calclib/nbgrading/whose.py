"""Whose file is it: by the names of folders and files, as a hub or a learning management system makes them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping

from calclib.errors import BadInput
from calclib.records.roster import Roster, Student

_SHORTEST_WITHIN = 3


class Owners:
    """Finds the student to whom a path belongs.

    A student is known by id, hub user, LMS name, and the roster's name where no other student has it. Of the folders
    and the file name, outermost first, one that *is* such a name decides; then one that begins with it; then one that
    holds it as whole words.

    Args:
        roster: The class.
        pattern: A regular expression with a group `student`, for names that aren't found otherwise; it is matched
            against the whole path, with `/` between folders, and what the group finds must be one of the names.
    """

    def __init__(self, roster: Roster, pattern: str | None = None) -> None:
        self._names = _names(roster)
        self._pattern = _compiled(pattern)

    def owner(self, parts: tuple[str, ...]) -> Student | str:
        """Return the student, or a few words that say why there is none."""
        if self._pattern is not None:
            found = self._pattern.search("/".join(parts))
            if found is None:
                return "doesn't fit the pattern"
            return self._names.get(plain(found.group("student")), "is nobody's: no student of the roster has that name")
        words = [plain(part) for part in (*parts[:-1], parts[-1].removesuffix(".ipynb"))]
        for fits in (_is, _begins, _holds):
            for text in words:
                students = self._longest(text, fits)
                if len(students) == 1:
                    return next(iter(students.values()))
                if students:
                    return "could be " + " or ".join(sorted(f"{s.name} ({s.id})" for s in students.values()))
        return "is nobody's: neither a folder nor the file has the name of a student of the roster"

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


def _is(text: str, name: str) -> bool:
    return text == name


def _begins(text: str, name: str) -> bool:
    return text.startswith(f"{name} ")


def _holds(text: str, name: str) -> bool:
    return len(name) >= _SHORTEST_WITHIN and f" {name} " in f" {text} "


def plain(text: str) -> str:
    """Return the words of a name in small letters: what names of files are compared by."""
    letters = unicodedata.normalize("NFKC", text).casefold()
    return " ".join(re.findall(r"[^\W_]+", letters))


def _compiled(pattern: str | None) -> re.Pattern[str] | None:
    if pattern is None:
        return None
    try:
        compiled = re.compile(pattern)
    except re.error as error:
        raise BadInput(f"The pattern isn't a regular expression ({error}).") from None
    if "student" not in compiled.groupindex:
        raise BadInput("The pattern needs a group (?P<student>...) that finds the student's name in the path.")
    return compiled
