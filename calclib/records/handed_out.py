"""What of a set is already handed out: attempts, tags, times and numbers, without the items."""

from __future__ import annotations

import datetime as dt

from sqlalchemy import Connection, func, select

from calclib.records.tables import ITEM, PAPER, PERSON


def latest_attempts(connection: Connection, set_name: str) -> dict[str, int]:
    """Return, by student id, the number of the last attempt that was handed out."""
    rows = connection.execute(
        select(PERSON.c.student_id, func.max(PAPER.c.attempt).label("attempt"))
        .join(PERSON, PERSON.c.pseudonym == PAPER.c.pseudonym)
        .where(PAPER.c.set_name == set_name)
        .group_by(PERSON.c.student_id)
    )
    return {row.student_id: row.attempt for row in rows}


def times_made(connection: Connection, set_name: str) -> dict[tuple[str, int], dt.datetime]:
    """Return when each notebook of a set was made, by pseudonym and attempt."""
    wanted = select(PAPER.c.pseudonym, PAPER.c.attempt, PAPER.c.made).where(PAPER.c.set_name == set_name)
    return {(row.pseudonym, row.attempt): dt.datetime.fromisoformat(row.made) for row in connection.execute(wanted)}


def tags_by_student(connection: Connection, set_name: str) -> dict[str, frozenset[tuple[str, str]]]:
    """Return, by student id, the pseudonym and tag of each notebook that was handed out to that student."""
    rows = connection.execute(
        select(PERSON.c.student_id, PAPER.c.pseudonym, PAPER.c.tag)
        .join(PERSON, PERSON.c.pseudonym == PAPER.c.pseudonym)
        .where(PAPER.c.set_name == set_name)
    )
    tags: dict[str, set[tuple[str, str]]] = {}
    for row in rows:
        tags.setdefault(row.student_id, set()).add((row.pseudonym, row.tag))
    return {student: frozenset(pairs) for student, pairs in tags.items()}


def numbers_in_use(connection: Connection, set_name: str) -> dict[int, dict[str, int]]:
    """Return how many students have which numbers, by slot and hash of the numbers."""
    used: dict[int, dict[str, int]] = {}
    counts = select(ITEM.c.slot, ITEM.c.numbers, func.count()).where(ITEM.c.set_name == set_name)
    for slot, numbers, count in connection.execute(counts.group_by(ITEM.c.slot, ITEM.c.numbers)):
        used.setdefault(slot, {})[numbers] = count
    return used


def whole_sets_in_use(connection: Connection, set_name: str) -> set[str]:
    """Return the hashes of the full sets of numbers that are handed out."""
    return set(connection.execute(select(PAPER.c.numbers).where(PAPER.c.set_name == set_name)).scalars())


def numbers_had(connection: Connection, pseudonym: str) -> frozenset[tuple[str, str]]:
    """Return the item model and the hash of the numbers of every item that a student was handed out, in any set."""
    wanted = select(ITEM.c.model_id, ITEM.c.numbers).where(ITEM.c.pseudonym == pseudonym)
    return frozenset((row.model_id, row.numbers) for row in connection.execute(wanted))
