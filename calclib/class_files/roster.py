"""The class list, `roster.csv`: one line a student.

column          needed    what it holds
id              required  short id, also the name of the student's folder: letters, digits, . _ - @
name            required  name as it is shown to faculty
hub_user        optional  user name on the course's notebook server, if it differs from the id
lms_name        optional  name by which the learning management system labels the student's files
accommodations  optional  such as extra_attempts=1; extra_minutes=2880 (see accommodations.py)
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from calclib.class_files.accommodations import Accommodations, accommodations_text, read_accommodations
from calclib.class_files.names import meant, student_id, visible
from calclib.class_files.text_files import read_text_file
from calclib.errors import BadInput
from calclib.wording.facts import fact

COLUMNS = ("id", "name", "hub_user", "lms_name", "accommodations")
_MUST = ("id", "name")
_LONGEST_NAME = 120


@dataclass(frozen=True)
class Student:
    """One line of the roster."""

    id: str
    name: str
    hub_user: str = ""
    lms_name: str = ""
    accommodations: Accommodations = field(default_factory=Accommodations)

    def known_by(self) -> Iterator[tuple[str, str]]:
        """Yield the column and text of each name by which systems know the student alone."""
        for column, text in (("id", self.id), ("hub_user", self.hub_user), ("lms_name", self.lms_name)):
            if text:
                yield column, text


@dataclass(frozen=True)
class Roster:
    """The class, in the order of the file."""

    students: tuple[Student, ...]

    def by_id(self) -> Mapping[str, Student]:
        """Return the students by their id."""
        return {student.id: student for student in self.students}


def account_of(student: Student) -> str:
    """Return the name of the student's account on the hub."""
    return student.hub_user or student.id


def read_roster(path: Path) -> Roster:
    """Read and check the list of a class; one that is given now is read by `read_new_roster`.

    Raises:
        BadInput: a column is missing, an id can't be used or comes twice, or a field isn't understood; with the line.
    """
    return roster_from_text(read_text_file(path), where=path.name)


def roster_from_text(text: str, *, where: str = "roster.csv") -> Roster:
    """Return the class that `text` (CSV with a head line) lists; see `read_roster`."""
    return Roster(tuple(student for _, student in numbered_students(text, where=where)))


def numbered_students(text: str, *, where: str) -> list[tuple[int, Student]]:
    """Return the students that `text` lists, each with its line; see `read_roster`."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    students: list[tuple[int, Student]] = []
    seen: dict[str, tuple[int, Student]] = {}
    columns: list[str] | None = None
    start = 1
    try:
        for row in reader:
            line, start = start, reader.line_num + 1
            if not any(cell.strip() for cell in row):
                continue
            if columns is None:
                columns = _columns(row, where, line)
                continue
            student = _student(columns, row, where, line)
            _refuse_twice(student, seen, where, line)
            students.append((line, student))
    except csv.Error as error:
        raise BadInput(fact("errors_class_files.no_csv", error=str(error)), where=where, line=start) from None
    if columns is None:
        raise BadInput(fact("errors_class_files.empty_roster", known=tuple(COLUMNS)), where=where)
    if not students:
        raise BadInput(fact("errors_class_files.no_student"), where=where)
    return students


def _columns(row: list[str], where: str, line: int) -> list[str]:
    names = [cell.strip().casefold().replace(" ", "_") for cell in row]
    if len(row) == 1 and any(mark in row[0] for mark in ";\t"):
        if ";" in row[0]:
            raise BadInput(fact("errors_class_files.split_by_semicolons"), where=where, line=line)
        raise BadInput(fact("errors_class_files.split_by_tabs"), where=where, line=line)
    while names and not names[-1]:
        names.pop()
    for name in names:
        if name not in COLUMNS:
            advice = meant(name, COLUMNS) or fact("errors_class_files.known_columns", known=tuple(COLUMNS))
            raise BadInput(
                fact("errors_class_files.unknown_column", name=visible(name), advice=advice), where=where, line=line
            )
        if names.count(name) > 1:
            raise BadInput(fact("errors_class_files.column_twice", name=name), where=where, line=line)
    for name in _MUST:
        if name not in names:
            raise BadInput(fact("errors_class_files.column_missing", name=name), where=where, line=line)
    return names


def _student(columns: list[str], row: list[str], where: str, line: int) -> Student:
    if len(row) > len(columns) and any(cell.strip() for cell in row[len(columns) :]):
        raise BadInput(
            fact("errors_class_files.too_many_fields", fields=len(row), columns=len(columns)),
            where=where,
            line=line,
        )
    cells = {name: row[n].strip() if n < len(row) else "" for n, name in enumerate(columns)}
    if not cells["id"]:
        raise BadInput(fact("errors_class_files.empty_id"), where=where, line=line)
    for name in ("name", "hub_user", "lms_name"):
        _refuse_unsafe(cells.get(name, ""), name, where, line)
    if not cells["name"]:
        raise BadInput(fact("errors_class_files.empty_name", student=visible(cells["id"])), where=where, line=line)
    return Student(
        id=student_id(cells["id"], where=where, line=line),
        name=cells["name"],
        hub_user=cells.get("hub_user", ""),
        lms_name=cells.get("lms_name", ""),
        accommodations=read_accommodations(cells.get("accommodations", ""), where, line),
    )


def _refuse_unsafe(text: str, column: str, where: str, line: int) -> None:
    if not text.isprintable():
        raise BadInput(
            fact("errors_class_files.hidden_character", column=column, text=visible(text)), where=where, line=line
        )
    # A list that passes through a spreadsheet must stay a list; some take the wide signs for the same.
    if unicodedata.normalize("NFKC", text)[:1] in ("=", "+", "-", "@"):
        raise BadInput(
            fact("errors_class_files.begins_like_formula", column=column, text=visible(text), sign=text[0]),
            where=where,
            line=line,
        )
    if len(text) > _LONGEST_NAME:
        raise BadInput(
            fact("errors_class_files.name_too_long", column=column, most=_LONGEST_NAME), where=where, line=line
        )


def _refuse_twice(student: Student, seen: dict[str, tuple[int, Student]], where: str, line: int) -> None:
    # Folder names that differ in case alone are one folder on some systems.
    first, other = seen.setdefault(student.id.casefold(), (line, student))
    if other is not student:
        raise BadInput(
            fact(
                "errors_class_files.same_id",
                id=student.id,
                student=visible(student.name),
                line=line,
                other=other.id,
                other_student=visible(other.name),
                other_line=first,
            ),
            where=where,
            line=line,
        )


def roster_to_text(roster: Roster) -> str:
    """Return the CSV text of a roster, as `read_roster` reads it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for student in roster.students:
        words = accommodations_text(student.accommodations)
        writer.writerow([student.id, student.name, student.hub_user, student.lms_name, words])
    return out.getvalue()
