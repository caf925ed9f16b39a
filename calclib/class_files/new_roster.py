"""A class list that is given now: no two students have a name that collecting can't tell apart."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.names import name_key, visible
from calclib.class_files.roster import Roster, Student, numbered_students
from calclib.class_files.text_files import read_text_file
from calclib.errors import BadInput


@dataclass(frozen=True)
class _Name:
    """One name of a student, with its column and line."""

    column: str
    text: str
    student: Student
    line: int

    def __str__(self) -> str:
        return f"the {self.column} '{visible(self.text)}' of {visible(self.student.name)} (line {self.line})"


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
        said = str(one)
        raise BadInput(
            f"{said[0].upper()}{said[1:]} and {other} are one name when hand-ins are collected, where capitals, "
            f"accents and signs don't count: {_way_out(one, other, known)}.",
            where=where,
            line=one.line,
        )


def _is_of_old(key: str, ids: set[str], known: frozenset[str]) -> bool:
    return ids <= known and {name_key(one) for one in ids} == {key}


def _way_out(one: _Name, other: _Name, known: frozenset[str]) -> str:
    for name in (one, other):
        if name.column == "id" and name.student.id not in known:
            return f"give {visible(name.student.name)} another id"
    name = other if one.column == "id" else one
    return f"write another {name.column} for {visible(name.student.name)}, or leave it out"


def _refuse_names_of_former(lines: Sequence[tuple[int, Student]], known: frozenset[str], where: str) -> None:
    here = {student.id for _, student in lines}
    former = {name_key(one): one for one in sorted(known - here)}
    for one in _names([(line, student) for line, student in lines if student.id not in known]):
        other = former.get(name_key(one.text))
        if other is None:
            continue
        said = str(one)
        change = "another id" if one.column == "id" else f"another {one.column} or none"
        raise BadInput(
            f"{said[0].upper()}{said[1:]} can't be told apart from the id '{other}' of a student who was in this class "
            f"before: if it is the same person, write the id '{other}', else give {visible(one.student.name)} {change}"
            f", or erase '{other}' first (calclib erase).",
            where=where,
            line=one.line,
        )
