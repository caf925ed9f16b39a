"""How books write frequencies and times of day: “q6h”, “t.i.d.”, “7:30 pm”, “noon”."""

from __future__ import annotations

import re

from calclib.models.book_numbers import NUMBERS


def frequency_form(text: str) -> str:
    """Return “every 6 h” or “3 doses/day” for q6h, t.i.d., “in 3 divided doses” and the like; "" for anything else."""
    words = re.sub(r"[.]", "", text.lower()).strip()
    words = re.sub(r"\b(" + "|".join(NUMBERS) + r")\b", lambda m: str(NUMBERS.index(m[1]) + 1), words)
    words = re.sub(r" (?:with|before|after) (?:meals|food)$| (?:prn|as needed)$", "", words)
    words = re.sub(r"^(?:(?:daily|per day|in|into|(?:equally )?divided|equal|doses) )+", "", words)
    if match := re.fullmatch(r"(?:q|every) ?(\d{1,3}) ?(?:h|hrs?|hours?)", words):
        return f"every {match[1]} h"
    times = {
        "once": 1,
        "daily": 1,
        "qd": 1,
        "od": 1,
        "every day": 1,
        "hs": 1,
        "qhs": 1,
        "at bedtime": 1,
        "every morning": 1,
        "every evening": 1,
        "every night": 1,
        "nightly": 1,
        "twice": 2,
        "bid": 2,
        "tid": 3,
        "qid": 4,
        "before meals and at bedtime": 4,
        "ac and hs": 4,
    }
    short = re.sub(r" (?:a|per|each|every) day$| daily$|/day$", "", words)
    if short in times:
        return f"{times[short]} doses/day"
    counted = r"(\d{1,2}) ?(?:x|times|(?:divided |equal |equally divided )*doses?)"
    if match := re.fullmatch(counted, short):
        return f"{match[1]} doses/day"
    return ""


def clock_form(text: str) -> str:
    """Return a time such as “7:30 pm”, “noon” or “0600 hours” as four digits; a day in words stays behind it."""
    match = re.fullmatch(r"(.*?)( the (?:next day|day before)| \d{1,3} days (?:later|before))?", text.strip())
    assert match is not None
    words, day = match[1].lower().replace(".", ""), match[2] or ""
    if (word := re.sub(r"^12 ?", "", words)) in ("noon", "midnight"):
        return ("1200" if word == "noon" else "0000") + day
    if re.fullmatch(r"24:?00(?: ?(?:h|hrs?|hours))?", words):
        return "0000" + day
    found = re.fullmatch(r"(\d{1,2})(?::?(\d{2}))? ?(am|pm|h|hrs?|hours)?", words)
    if found is None or (found[2] is None and found[3] not in ("am", "pm")):
        return text
    hour, minute = int(found[1]), found[2] or "00"
    if found[3] in ("am", "pm"):
        if not 1 <= hour <= 12:
            return text
        hour = hour % 12 + (12 if found[3] == "pm" else 0)
    return f"{hour:02}{minute}{day}"
