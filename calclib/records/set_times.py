"""Times as faculty and students of a set read them: in the offset of its due time, with the zone said."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from calclib.class_files.toml_lines import recorded_toml
from calclib.records.sealed import SealedSet
from calclib.wording import said


def zone_of(sealed: SealedSet) -> dt.tzinfo:
    """Return the offset in which the blueprint of a set writes its due time; UTC where it has none."""
    return _zone(sealed.blueprint, sealed.name) if sealed.due else dt.UTC


# Asked for every page of a class.
@lru_cache(maxsize=8)
def _zone(blueprint: str, name: str) -> dt.tzinfo:
    due = recorded_toml(blueprint, where=name).get("due")
    return due.tzinfo if isinstance(due, dt.datetime) and due.tzinfo is not None else dt.UTC


def time_in_words(time: dt.datetime, zone: dt.tzinfo) -> str:
    """Return a time with its zone: "December 1, 2026, 23:59 (UTC-05:00)", "December 2, 2026, 04:59 UTC"."""
    return said("time.moment", at=time.astimezone(zone).isoformat())
