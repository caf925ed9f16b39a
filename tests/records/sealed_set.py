"""A set of one problem as it was handed out, for the tests of records."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

from calclib.records.sealed import SealedSet
from calclib.records.sealed_slots import Slot

SEALED = SealedSet(
    name="week-3",
    title="Week 3",
    blueprint="set = ...",
    rounding="tenths-and-wholes",
    rounding_hash="r" * 64,
    marking="homework",
    marking_hash="m" * 64,
    cut_score=Fraction(185, 2),
    due=dt.datetime(2026, 12, 1, tzinfo=dt.UTC),
    late_percent=10,
    attempts=1,
    slots=(Slot(1, "drop-rate", "Drop rate", "drop rate", {"drops": Fraction(1, 3)}, {"drops": "quantity"}),),
    library="0.1.0",
    handed_out="2026-11-25T08:00:00+00:00",
)
