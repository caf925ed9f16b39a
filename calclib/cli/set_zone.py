"""The zone in which commands tell the times of a set."""

from __future__ import annotations

import datetime as dt
from pathlib import Path


def set_zone(folder: Path, set_name: str) -> dt.tzinfo:
    """Return the offset in which a set's due time is written; UTC where it has none, or no such set was handed out."""
    from calclib.class_files import class_folder
    from calclib.records import reading, sealed_set
    from calclib.records.set_times import zone_of

    with reading(class_folder(folder)) as connection:
        sealed = sealed_set(connection, set_name)
    return dt.UTC if sealed is None else zone_of(sealed)
