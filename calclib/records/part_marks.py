"""Marks as recorded: one row a part, with the verdict; the typed text apart from it."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any, NamedTuple

import orjson
from sqlalchemy import Connection, Row, bindparam, delete, insert, select

from calclib.records.tables import ANSWER, MARK


class Fails(StrEnum):
    """What an error fails beside its own points; the values are what is recorded, and never change."""

    NOTHING = "nothing"
    PART = "part"
    EXAM = "exam"
    EXAM_WAITS = "exam_waits"
    """The whole set, by the marking policy, once a person has confirmed it."""


_UNSTORABLE = re.compile("[\0\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


class PartMark(NamedTuple):
    """What one typed answer is worth, and why.

    Attributes:
        slot: Place of the problem in the set, from 1.
        part: Name of the part.
        answer_cell: Id of the answer cell, in the notebook and in nbgrader's gradebook.
        check_cell: Id of the check cell, which carries the points.
        verdict: One of the verdicts of the judge, or "missing" for an answer cell that isn't there.
        right: Whether value and unit are clinically right.
        critical: Whether the error would be dangerous.
        fails: What a critical error fails by the marking policy, one of `Fails`.
        score: Share of the points, 0 to 1.
        points: Points of the part.
        needs_person: Whether a person must look before the mark stands.
        causes: Faults that explain a wrong answer: {"fault", "step", "given", "certain", "what", "also"}.
        notices: Unsafe notation: {"rule", "source"}.
        typed: What the student typed, "" for nothing.
        detail: The whole verdict, for the feedback page.
    """

    slot: int
    part: str
    answer_cell: str
    check_cell: str
    verdict: str
    right: bool
    critical: bool
    fails: str
    score: Fraction
    points: Fraction
    needs_person: bool
    causes: tuple[Mapping[str, Any], ...]
    notices: tuple[Mapping[str, Any], ...]
    typed: str
    detail: Mapping[str, Any]

    @property
    def earned(self) -> Fraction:
        """Points that the answer earned."""
        # Nearly all scores are 0 or 1; multiplying fractions takes longer than looking.
        if self.score == 1:
            return self.points
        return self.score * self.points if self.score else self.score


def clean(text: str) -> str:
    """Return `text` as a database can store it: no zero bytes, no halves of a character, no sign of our own."""
    # Nearly all text is ASCII, and told so at once.
    if text.isascii() and "\0" not in text:
        return text
    return _UNSTORABLE.sub("\ufffd", text)


@dataclass(frozen=True)
class MarkedPaper:
    """One paper's marks as they are stored.

    Attributes:
        pseudonym: The student.
        attempt: Number of the attempt.
        submission: SHA-256 of the notebook.
        marks: The marks in the order of the questions.
        kept: Whether this attempt is the one that counts.
    """

    pseudonym: str
    attempt: int
    submission: str
    marks: tuple[PartMark, ...]
    kept: bool = True

    def rows(self) -> tuple[tuple[Mapping[str, Any], ...], tuple[Mapping[str, Any], ...]]:
        """Return the rows for calclib_mark and for calclib_answer, but for the set and the time."""
        return (
            tuple(self._mark_row(place, mark) for place, mark in enumerate(self.marks)),
            tuple(self._answer_row(mark) for mark in self.marks),
        )

    def _mark_row(self, place: int, mark: PartMark) -> Mapping[str, Any]:
        return {
            "pseudonym": self.pseudonym,
            "attempt": self.attempt,
            "slot": mark.slot,
            "part": mark.part,
            "place": place,
            "answer_cell": mark.answer_cell,
            "check_cell": mark.check_cell,
            "verdict": mark.verdict,
            "right": mark.right,
            "critical": mark.critical,
            "fails": mark.fails,
            "score": str(mark.score),
            "points": str(mark.points),
            "needs_person": mark.needs_person,
            "kept": self.kept,
            "causes": _json(mark.causes) if mark.causes else "[]",
            "notices": _json(mark.notices) if mark.notices else "[]",
            "submission": self.submission,
        }

    def _answer_row(self, mark: PartMark) -> Mapping[str, Any]:
        return {
            "pseudonym": self.pseudonym,
            "attempt": self.attempt,
            "slot": mark.slot,
            "part": mark.part,
            "typed": clean(mark.typed),
            "verdict": _json(mark.detail),
        }


def _json(value: object) -> str:
    """As JSON that a database can store: zero bytes are written as escapes, and halves of characters don't get here."""
    return orjson.dumps(value).decode()


StoredRows = tuple[tuple[Mapping[str, Any], ...], tuple[Mapping[str, Any], ...]]


def stored_rows(
    connection: Connection, set_name: str, pseudonyms: Collection[str]
) -> dict[tuple[str, int], StoredRows]:
    """Return the rows of some students' papers as `MarkedPaper.rows` gives them, by pseudonym and attempt."""
    found: dict[tuple[str, int], tuple[list[Any], list[Any]]] = {}
    for n, (table, left_out) in enumerate(((MARK, ("set_name", "marked")), (ANSWER, ("set_name",)))):
        columns = [column for column in table.c if column.name not in left_out]
        rows = connection.execute(
            select(*columns).where(table.c.set_name == set_name, table.c.pseudonym.in_(pseudonyms))
        ).mappings()
        for row in rows:
            found.setdefault((row["pseudonym"], row["attempt"]), ([], []))[n].append(dict(row))
    stored = {}
    for key, (marks, answers) in found.items():
        marks.sort(key=lambda row: row["place"])
        places = {(row["slot"], row["part"]): row["place"] for row in marks}
        answers.sort(key=lambda row: places.get((row["slot"], row["part"]), 0))
        stored[key] = (tuple(marks), tuple(answers))
    return stored


def replace_rows(
    connection: Connection,
    set_name: str,
    papers: Mapping[tuple[str, int], StoredRows | None],
    *,
    marked: str,
    earlier: Collection[tuple[str, int]],
) -> None:
    """Put the rows of some papers, by pseudonym and attempt, in the place of earlier ones; None removes them.

    Args:
        connection: A connection in a transaction.
        set_name: The set.
        papers: The rows.
        marked: The time that is recorded.
        earlier: The papers of which there are rows.
    """
    keys = [{"of": pseudonym, "try": attempt} for pseudonym, attempt in papers if (pseudonym, attempt) in earlier]
    for n, table in enumerate((MARK, ANSWER)):
        if keys:
            which = table.c.set_name == set_name
            which &= (table.c.pseudonym == bindparam("of")) & (table.c.attempt == bindparam("try"))
            connection.execute(delete(table).where(which), keys)
        more = {"set_name": set_name} if n else {"set_name": set_name, "marked": marked}
        rows = [{**more, **row} for paper in papers.values() if paper is not None for row in paper[n]]
        if rows:
            connection.execute(insert(table), rows)


def replace_marks(
    connection: Connection,
    *,
    set_name: str,
    pseudonym: str,
    attempt: int,
    marks: tuple[PartMark, ...],
    submission: str,
    marked: str,
) -> None:
    """Put the marks of one paper, in the order of its questions, in the place of earlier ones."""
    paper = MarkedPaper(pseudonym, attempt, submission, marks)
    key = pseudonym, attempt
    replace_rows(connection, set_name, {key: paper.rows()}, marked=marked, earlier=[key])


def marks_of(connection: Connection, set_name: str) -> dict[str, tuple[PartMark, ...]]:
    """Return the marks of a set by pseudonym, of the attempt that counts; within it in the order of its questions."""
    return {name: paper.marks for name, paper in marked_papers(connection, set_name).items()}


def marked_papers(connection: Connection, set_name: str, pseudonym: str | None = None) -> dict[str, MarkedPaper]:
    """Return the marked papers of a set that count, by pseudonym; of one student alone if one is named."""
    marks = select(MARK).where(MARK.c.set_name == set_name, MARK.c.kept.is_(True))
    typed = select(ANSWER).where(ANSWER.c.set_name == set_name)
    if pseudonym is not None:
        marks, typed = marks.where(MARK.c.pseudonym == pseudonym), typed.where(ANSWER.c.pseudonym == pseudonym)
    answers = {(row.pseudonym, row.attempt, row.slot, row.part): row for row in connection.execute(typed)}
    found: dict[tuple[str, int, str], list[PartMark]] = {}
    for row in connection.execute(marks.order_by(MARK.c.pseudonym, MARK.c.attempt, MARK.c.place)):
        answer = answers.get((row.pseudonym, row.attempt, row.slot, row.part))
        found.setdefault((row.pseudonym, row.attempt, row.submission), []).append(_mark(row, answer))
    return {name: MarkedPaper(name, number, made, tuple(marks)) for (name, number, made), marks in found.items()}


def _mark(row: Row[Any], answer: Row[Any] | None) -> PartMark:
    return PartMark(
        slot=row.slot,
        part=row.part,
        answer_cell=row.answer_cell,
        check_cell=row.check_cell,
        verdict=row.verdict,
        right=row.right,
        critical=row.critical,
        fails=row.fails,
        score=Fraction(row.score),
        points=Fraction(row.points),
        needs_person=row.needs_person,
        causes=tuple(orjson.loads(row.causes)),
        notices=tuple(orjson.loads(row.notices)),
        typed=answer.typed if answer else "",
        detail=orjson.loads(answer.verdict) if answer else {},
    )


def typed_marks(connection: Connection, set_name: str, pseudonym: str, attempt: int) -> tuple[PartMark, ...]:
    """Return one student's marks of one attempt, whether it counts or not, with what was typed."""
    of = {"set_name": set_name, "pseudonym": pseudonym, "attempt": attempt}
    marks = select(MARK).where(*(MARK.c[name] == value for name, value in of.items())).order_by(MARK.c.place)
    typed = select(ANSWER).where(*(ANSWER.c[name] == value for name, value in of.items()))
    answers = {(row.slot, row.part): row for row in connection.execute(typed)}
    return tuple(_mark(row, answers.get((row.slot, row.part))) for row in connection.execute(marks))


def marked_attempt(connection: Connection, set_name: str, pseudonym: str, attempt: int) -> MarkedPaper | None:
    """Return one student's marks of one attempt with the notebook that was marked; None if it wasn't marked."""
    of = (MARK.c.set_name == set_name, MARK.c.pseudonym == pseudonym, MARK.c.attempt == attempt)
    row = connection.execute(select(MARK.c.submission, MARK.c.kept).where(*of).limit(1)).first()
    if row is None:
        return None
    return MarkedPaper(
        pseudonym, attempt, row.submission, typed_marks(connection, set_name, pseudonym, attempt), row.kept
    )


def marked_attempts(connection: Connection, set_name: str) -> set[tuple[str, int]]:
    """Return pseudonym and number of each attempt that was marked."""
    rows = connection.execute(select(MARK.c.pseudonym, MARK.c.attempt).where(MARK.c.set_name == set_name).distinct())
    return {(row.pseudonym, row.attempt) for row in rows}


def marks_of_attempt(connection: Connection, set_name: str, attempt: int) -> dict[str, tuple[PartMark, ...]]:
    """Return the marks of one attempt by pseudonym, whether it counts or not, without what was typed.

    Args:
        connection: The class's database.
        set_name: The set.
        attempt: Number of the attempt, from 1.
    """
    wanted = select(MARK).where(MARK.c.set_name == set_name, MARK.c.attempt == attempt)
    found: dict[str, list[PartMark]] = {}
    for row in connection.execute(wanted.order_by(MARK.c.pseudonym, MARK.c.place)):
        found.setdefault(row.pseudonym, []).append(_mark(row, None))
    return {name: tuple(marks) for name, marks in found.items()}
