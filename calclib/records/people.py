"""Whom a pseudonym stands for, and which ids were erased."""

from __future__ import annotations

import re
import secrets
from collections.abc import Mapping

from sqlalchemy import Connection, delete, insert, select

from calclib.class_files.seeds import erased_mark, pseudonym
from calclib.records.tables import ERASED, PERSON


def pseudonym_of(connection: Connection, student: str) -> str | None:
    """Return the pseudonym of a student id, None if there is none yet."""
    found: str | None = connection.execute(select(PERSON.c.pseudonym).where(PERSON.c.student_id == student)).scalar()
    return found


def pseudonyms(connection: Connection) -> dict[str, str]:
    """Return the pseudonym of each student id."""
    return {row.student_id: row.pseudonym for row in connection.execute(select(PERSON))}


def named_in(text: str, people: Mapping[str, str]) -> tuple[str, ...]:
    """Return the pseudonyms of the students whose ids stand in a text as words of their own.

    Args:
        text: What a person wrote.
        people: Pseudonym of each student id.
    """
    words = text.casefold()
    return tuple(name for student, name in sorted(people.items()) if _stands_in(student.casefold(), words))


def _stands_in(student: str, words: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(student)}(?!\w)", words) is not None


def remember_person(connection: Connection, secret: bytes, student: str) -> str:
    """Return the pseudonym of a student id, recorded now if there is none yet.

    It follows from the course secret; that of an id that was erased is drawn at random, so that nobody who adds the id
    again brings the old records back.
    """
    known = pseudonym_of(connection, student)
    if known is not None:
        return known
    name = secrets.token_hex(8) if _was_erased(connection, secret, student) else pseudonym(secret, student)
    connection.execute(insert(PERSON).values(pseudonym=name, student_id=student))
    return name


def forget_person(connection: Connection, secret: bytes, student: str) -> None:
    """Forget whom a pseudonym stands for; that the id was erased is told to those alone who have the secret."""
    connection.execute(delete(PERSON).where(PERSON.c.student_id == student))
    if not _was_erased(connection, secret, student):
        connection.execute(insert(ERASED).values(mark=erased_mark(secret, student)))


def _was_erased(connection: Connection, secret: bytes, student: str) -> bool:
    mark = erased_mark(secret, student)
    return connection.execute(select(ERASED.c.mark).where(ERASED.c.mark == mark)).first() is not None
