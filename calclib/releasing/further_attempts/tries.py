"""How many attempts a student has: those of the blueprint and the roster, and those lost through a bad problem."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, select

from calclib.class_files.roster import Student
from calclib.records.rulings.ruling import Ruling, in_force, rulings_of
from calclib.records.sealed import SealedSet
from calclib.records.tables import MARK

# By pseudonym: the numbers of the attempts, each with the rulings on problems that went wrong in it.
GivenBack = Mapping[str, Mapping[int, tuple[int, ...]]]

_BAD = ("credit", "void", "model")


def given_back(connection: Connection, set_name: str) -> GivenBack:
    """Return the attempts that don't count as used, since a problem of theirs was ruled bad.

    That is so where the student didn't answer the problem rightly: a problem that everyone was credited with, that
    counts for nobody, or that was re-keyed by a corrected item model (then whatever was answered).
    """
    rulings = [ruling for ruling in in_force(rulings_of(connection, set_name)) if ruling.kind in _BAD]
    if not rulings:
        return {}
    wanted = select(MARK.c.pseudonym, MARK.c.attempt, MARK.c.slot, MARK.c.part, MARK.c.right, MARK.c.verdict)
    found: dict[str, dict[int, tuple[int, ...]]] = {}
    for row in connection.execute(wanted.where(MARK.c.set_name == set_name)):
        by = tuple(_lost(rulings, row.slot, row.part, row.attempt, right=row.right or row.verdict == "missing"))
        if by:
            attempts = found.setdefault(row.pseudonym, {})
            attempts[row.attempt] = tuple(sorted({*attempts.get(row.attempt, ()), *by}))
    return found


def _lost(rulings: Iterable[Ruling], slot: int, part: str, attempt: int, *, right: bool) -> Iterable[int]:
    for ruling in rulings:
        if ruling.covers(slot, part, "") and ruling.in_attempt(attempt) and (ruling.kind == "model" or not right):
            yield ruling.number


def attempts_allowed(sealed: SealedSet, student: Student, pseudonym: str, back: GivenBack) -> int:
    """Return how many attempts a student has in all.

    Args:
        sealed: The set.
        student: The student, with what the roster allows.
        pseudonym: What stands for the student.
        back: The attempts that don't count as used.
    """
    return sealed.attempts + student.accommodations.in_set(sealed.name).extra_attempts + len(back.get(pseudonym, {}))
