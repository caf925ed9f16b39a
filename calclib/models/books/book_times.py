"""How books write frequencies: “q6h”, “t.i.d.”, “in 3 divided doses”."""

from __future__ import annotations

import re

from calclib.models.books.book_numbers import counts_in_digits
from calclib.reading.vocabulary import DOSES_A_DAY

_TIMES = DOSES_A_DAY | {
    "once": 1,
    "od": 1,
    "every day": 1,
    "hs": 1,
    "qhs": 1,
    "at bedtime": 1,
    "every morning": 1,
    "every evening": 1,
    "every night": 1,
    "twice": 2,
    "before meals and at bedtime": 4,
    "ac and hs": 4,
}
"""Words of orders for so many doses a day, beside those that an answer may hold."""


def frequency_form(text: str) -> str:
    """Return “every 6 h” or “3 doses/day” for q6h, t.i.d., “in 3 divided doses” and the like; "" for anything else."""
    words = re.sub(r"[.]", "", text.lower()).strip()
    words = counts_in_digits(words)
    words = re.sub(r" (?:with|before|after) (?:meals|food)$| (?:prn|as needed)$", "", words)
    words = re.sub(r"^(?:(?:daily|per day|in|into|(?:equally )?divided|equal|doses) )+", "", words)
    if match := re.fullmatch(r"(?:q|every) ?(\d{1,3}) ?(?:h|hrs?|hours?)", words):
        return f"every {match[1]} h"
    short = re.sub(r" (?:a|per|each|every) day$| daily$|/day$", "", words)
    if often := _TIMES.get(short):
        return f"{often} doses/day"
    counted = r"(\d{1,2}) ?(?:x|times|(?:divided |equal |equally divided )*doses?)"
    if match := re.fullmatch(counted, short):
        return f"{match[1]} doses/day"
    return ""
