"""Rows that are inserted at once."""

from __future__ import annotations

from sqlalchemy import create_engine, insert, select

from calclib.records.bulk_rows import insert_rows
from calclib.records.tables import METADATA, SET_ASIDE

ROWS = [
    {"set_name": "week-3", "pseudonym": name, "reason": "5 % d'or; -- %s ?", "submission": "", "noticed": "now"}
    for name in ("ann", "ben")
]


def test_rows_go_in_as_they_would_one_by_one() -> None:
    """The same rows are there as SQLAlchemy's own statement writes; no rows are no statement."""
    found = []
    for write in (insert_rows, lambda connection, table, rows: connection.execute(insert(table), rows)):
        engine = create_engine("sqlite://")
        METADATA.create_all(engine)
        with engine.begin() as connection:
            write(connection, SET_ASIDE, ROWS)
            insert_rows(connection, SET_ASIDE, [])
            found.append(connection.execute(select(SET_ASIDE).order_by(SET_ASIDE.c.pseudonym)).all())
    assert found[0] == found[1] and len(found[0]) == len(ROWS)
