"""Names and seeds that follow from the course secret, by HMAC-SHA256.

Without the secret nobody can foresee a draw, tell a pseudonym's owner, or make a notebook that passes for another's.
Each field is written with its length, so that ("ab", "c") and ("a", "bc") differ.
"""

from __future__ import annotations

import hashlib
import hmac


def draw_seed(secret: bytes, *, set_name: str, student: str, item: str, attempt: int, turn: int = 0) -> str:
    """Return the seed of one student's draw of one item.

    Args:
        secret: The course secret.
        set_name: Name of the set.
        student: The student's id.
        item: The problem's place in the set and its item model, such as "3:drop-rate".
        attempt: Number of the attempt, from 1.
        turn: Counts further draws where an earlier one gave another student's numbers.

    Returns:
        32 hexadecimal digits.
    """
    return _keyed(secret, "draw", set_name, student, item, str(attempt), str(turn))[:32]


def pseudonym(secret: bytes, student: str) -> str:
    """Return the 16 hexadecimal digits that stand for a student in records and notebooks."""
    return _keyed(secret, "pseudonym", student)[:16]


def erased_mark(secret: bytes, student: str) -> str:
    """Return the 64 hexadecimal digits by which it is remembered that a student's id was erased."""
    return _keyed(secret, "erased", student)


def paper_tag(secret: bytes, *, set_name: str, student: str, attempt: int, content: str) -> str:
    """Return the tag that ties a rendered notebook to its record; `content` is all that was sealed.

    It is keyed: a plain hash over stem and answers would let a student try answers against it.
    """
    return _keyed(secret, "paper", set_name, student, str(attempt), content)[:32]


def shuffle_key(secret: bytes, *, set_name: str, name: str) -> str:
    """Return a key that orders `name` among others in an unforeseeable but fixed way within a set."""
    return _keyed(secret, "order", set_name, name)


def _keyed(secret: bytes, *fields: str) -> str:
    message = b"".join(len(data).to_bytes(4, "big") + data for data in (field.encode() for field in fields))
    return hmac.new(secret, message, hashlib.sha256).hexdigest()
