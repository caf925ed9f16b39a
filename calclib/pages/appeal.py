"""How a student appeals against a mark, as faculty set it in the blueprint."""

from __future__ import annotations

import datetime as dt

from calclib.class_files.set_rules import recorded_rules
from calclib.records.sealed import SealedSet
from calclib.records.set_times import time_in_words


def appeal_in_words(sealed: SealedSet) -> str:
    """Return to whom, by when and how to appeal; "" where the blueprint doesn't say."""
    appeal = recorded_rules(sealed.blueprint).appeal
    if appeal is None:
        return ""
    by = appeal.by
    until = f"by {time_in_words(by, by.tzinfo or dt.UTC)}" if isinstance(by, dt.datetime) else by
    how = f" {appeal.how}{'' if appeal.how.endswith(('.', '!', '?')) else '.'}" if appeal.how else ""
    return f"If you think that a mark is wrong: appeal to {appeal.to}, {until}.{how}"
