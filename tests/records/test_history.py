"""What was done is recorded under names that never change, and read in the words of today."""

from __future__ import annotations

import datetime as dt

import pytest
from sqlalchemy import create_engine, insert, select

from calclib.records.history import EventKind, day_of, events_of, history_of, write_history
from calclib.records.tables import HISTORY, METADATA

NOW = dt.datetime(2026, 11, 25, 8, 0, tzinfo=dt.UTC)


@pytest.fixture
def engine():
    """A database in memory with our tables."""
    engine = create_engine("sqlite://")
    METADATA.create_all(engine)
    yield engine
    engine.dispose()


def test_recorded_names_never_change() -> None:
    """A class that was recorded by one version is read by every later one."""
    assert {kind.value for kind in EventKind} == {
        "handed_out",
        "blueprint_changed",
        "released",
        "taken_back",
        "signed_off",
        "another_attempt",
        "marked",
        "judged",
        "ruled",
        "rekeyed",
        "identity_erased",
        "planned",
        "coached",
        "appealed",
        "appeal_settled",
        "standing_signed",
    }


@pytest.mark.parametrize(
    ("recorded", "shown"), [("released", "released"), ("rekeyed", "re-keyed"), ("handed_out", "handed out")]
)
def test_a_line_is_told_and_found_by_its_kind(engine, recorded: str, shown: str) -> None:
    """In the words that people read."""
    row = {"at": NOW.isoformat(), "event": recorded, "set_name": "week-3", "pseudonym": "", "detail": '{"new": 2}'}
    with engine.begin() as connection:
        connection.execute(insert(HISTORY).values(**row))
        assert history_of(connection, "week-3") == (f"2026-11-25 08:00 UTC  {shown}: new 2",)
        (event,) = events_of(connection, "week-3", "")
        assert event.kind.value == recorded
        assert day_of(connection, "week-3", event.kind) == "2026-11-25"


def test_a_line_is_recorded_by_the_plain_name_of_its_kind(engine) -> None:
    """The column holds a text, whatever the database makes of enumerations."""
    with engine.begin() as connection:
        write_history(connection, at=NOW, kind=EventKind.REKEYED, set_name="week-3", detail={"ruling": 1})
        (stored,) = connection.execute(select(HISTORY.c.event)).scalars()
    assert (type(stored), stored) == (str, "rekeyed")
