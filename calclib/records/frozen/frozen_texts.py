"""Texts of item models and policies, recorded once under the hash of what they say."""

from __future__ import annotations

import hashlib

from sqlalchemy import Connection, insert, select

from calclib.records.tables import FROZEN_TEXT


def freeze_text(connection: Connection, kind: str, name: str, text: str, hash_: str | None = None) -> str:
    """Record a text (item model, policy) once and return its hash (by default the SHA-256 of the text)."""
    key = hash_ or hashlib.sha256(text.encode()).hexdigest()
    known = connection.execute(select(FROZEN_TEXT.c.hash).where(FROZEN_TEXT.c.hash == key)).first()
    if known is None:
        connection.execute(insert(FROZEN_TEXT).values(hash=key, kind=kind, name=name, text=text))
    return key


def frozen_text(connection: Connection, hash_: str) -> str | None:
    """Return the text that was recorded under a hash."""
    return connection.execute(select(FROZEN_TEXT.c.text).where(FROZEN_TEXT.c.hash == hash_)).scalar()
