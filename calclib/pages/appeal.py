"""How a student appeals against a mark, as faculty set it in the blueprint."""

from __future__ import annotations

import datetime as dt

from calclib.class_files.set_rules import recorded_rules
from calclib.records.sealed import SealedSet
from calclib.records.set_times import time_in_words
from calclib.wording import said


def appeal_in_words(sealed: SealedSet) -> str:
    """Return to whom, by when and how to appeal; "" where the blueprint doesn't say."""
    appeal = recorded_rules(sealed.blueprint).appeal
    if appeal is None:
        return ""
    to, how = appeal.to, appeal.how
    if isinstance(appeal.by, dt.datetime):
        by = time_in_words(appeal.by, appeal.by.tzinfo or dt.UTC)
        return said("appeal.by_time_how", to=to, by=by, how=how) if how else said("appeal.by_time", to=to, by=by)
    by = appeal.by
    return said("appeal.by_words_how", to=to, by=by, how=how) if how else said("appeal.by_words", to=to, by=by)
