"""A class list that is given now: no two students have a name that collecting can't tell apart."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.names import name_key, visible
from calclib.class_files.roster import Roster, Student, numbered_students
from calclib.class_files.text_files import read_text_file
from calclib.errors import BadInput
from calclib.wording.facts import Fact, fact


@dataclass(frozen=True)
class _Name:
    """One name of a student, with its column and line."""

    column: str
    text: str
    student: Student
    line: int

    @property
    def told(self) -> Fact:
        """The name in words."""
        return fact(
            "errors_class_files.name_of_student",
            column=self.column,
            text=visible(self.text),
            student=visible(self.student.name),
            line=self.line,
        )


def read_new_roster(path: Path, *, known: Collection[str] = ()) -> Roster:
    """Read and check a class list that is given now.

    Args:
        path: The file.
        known: Ids that the class has records of. Two of them that can't be told apart are let be: an id can't be
            changed without losing what is recorded under it.

    Raises:
        BadInput: it is wrong (see `read_roster`), or two students have an id, hub user or LMS name that
            collecting can't tell apart, or a new student one that is like the id of a student who left.
    """
    return new_roster_from_text(read_text_file(path), known=known, where=path.name)


def new_roster_from_text(text: str, *, known: Collection[str] = (), where: str = "roster.csv") -> Roster:
    """Return the class that `text` (CSV with a head line) lists; see `read_new_roster`."""
    lines = numbered_students(text, where=where)
    _refuse_clashes(lines, frozenset(known), where)
    _refuse_names_of_former(lines, frozenset(known), where)
    return Roster(tuple(student for _, student in lines))


def _names(lines: Sequence[tuple[int, Student]]) -> Iterator[_Name]:
    for line, student in lines:
        for column, text in student.known_by():
            yield _Name(column, text, student, line)


def _refuse_clashes(lines: Sequence[tuple[int, Student]], known: frozenset[str], where: str) -> None:
    first: dict[str, _Name] = {}
    for one in _names(lines):
        key = name_key(one.text)
        other = first.setdefault(key, one)
        if other.student is one.student or _is_of_old(key, {one.student.id, other.student.id}, known):
            continue
        what = fact("errors_class_files.one_name", name=one.told, other=other.told, way_out=_way_out(one, other, known))
        raise BadInput(what, where=where, line=one.line)


def _is_of_old(key: str, ids: set[str], known: frozenset[str]) -> bool:
    return ids <= known and {name_key(one) for one in ids} == {key}


def _way_out(one: _Name, other: _Name, known: frozenset[str]) -> Fact:
    for name in (one, other):
        if name.column == "id" and name.student.id not in known:
            return fact("errors_class_files.give_another_id", student=visible(name.student.name))
    name = other if one.column == "id" else one
    return fact("errors_class_files.write_another", column=name.column, student=visible(name.student.name))


def _refuse_names_of_former(lines: Sequence[tuple[int, Student]], known: frozenset[str], where: str) -> None:
    here = {student.id for _, student in lines}
    former = {name_key(one): one for one in sorted(known - here)}
    for one in _names([(line, student) for line, student in lines if student.id not in known]):
        other = former.get(name_key(one.text))
        if other is None:
            continue
        change = fact("errors_class_files.another_id")
        if one.column != "id":
            change = fact("errors_class_files.another_or_none", column=one.column)
        what = fact(
            "errors_class_files.name_of_former",
            name=one.told,
            former=other,
            student=visible(one.student.name),
            change=change,
        )
        raise BadInput(what, where=where, line=one.line)
