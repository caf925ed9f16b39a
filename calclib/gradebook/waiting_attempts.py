"""Attempts that don't count as they stand, but may once a person has looked at what waits in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from sqlalchemy import Connection, select

from calclib.gradebook.results import PartResult, SetResults, StudentResult
from calclib.gradebook.standing import Standing, standing_of
from calclib.records.part_marks import marked_attempt
from calclib.records.sealed import sealed_paper
from calclib.records.set_aside import reason_of
from calclib.records.tables import MARK


def result_of_attempt(
    connection: Connection, results: SetResults, one: StudentResult, attempt: int
) -> StudentResult | None:
    """Return a student's result as it would be if another attempt counted; None if that wasn't marked.

    Points that a person gave in the gradebook are those of the attempt that counts, and lateness isn't taken off.

    Args:
        connection: The class's database.
        results: The results of the set.
        one: The student's.
        attempt: Number of the attempt.
    """
    if attempt == one.attempt and one.parts:
        return one
    paper = marked_attempt(connection, results.sealed.name, one.pseudonym, attempt)
    if paper is None:
        return None
    parts = tuple(PartResult(mark, None, Fraction(0), mark.needs_person, "") for mark in paper.marks)
    aside = next(filter(None, map(reason_of, paper.marks)), None)
    return replace(
        one, attempt=attempt, parts=parts, aside=aside, penalty=Fraction(0), submission=paper.submission, time=None
    )


def attempts_that_wait(connection: Connection, results: SetResults) -> tuple[StudentResult, ...]:
    """Return the attempts with answers that wait for a person while another counts, in the order of the roster.

    Where the first or the last counts whatever it came to, nobody has to look at another; nor at one that can't come
    to more than one that passes.

    Args:
        connection: The class's database.
        results: The results of the set.
    """
    if results.sealed.keep != "best":
        return ()
    waits = (MARK.c.set_name == results.sealed.name, MARK.c.needs_person.is_(True), MARK.c.kept.is_(False))
    rows = connection.execute(
        select(MARK.c.pseudonym, MARK.c.attempt).where(*waits).distinct().order_by(MARK.c.attempt)
    )
    of: dict[str, list[int]] = {}
    for row in rows.all():
        of.setdefault(row.pseudonym, []).append(row.attempt)
    found = []
    for one in results.marked:
        for attempt in of.get(one.pseudonym, ()):
            other = result_of_attempt(connection, results, one, attempt)
            if other is not None and _may_count(results, one, other):
                found.append(other)
    return tuple(found)


def _may_count(results: SetResults, one: StudentResult, other: StudentResult) -> bool:
    """Whether an attempt may count in the place of the one that does, whatever a person decides."""
    if standing_of(results, one) is not Standing.PASSES:
        return True
    most = sum((part.mark.points if part.open else part.earned for part in other.parts), Fraction(0))
    return most > one.earned


def right_answers(connection: Connection, results: SetResults, one: StudentResult) -> Mapping[tuple[int, str], str]:
    """Return a student's right answers at the attempt of a result, by problem and part.

    Args:
        connection: A connection.
        results: The results of the set.
        one: The student's.
    """
    paper = sealed_paper(connection, results.sealed.name, one.pseudonym, one.attempt)
    items = () if paper is None else paper.items
    return {(item.slot, part["name"]): part["answer"] for item in items for part in item.record["parts"]}
