"""Dates as a US label and an order print them: the month in letters, so that no two can be mistaken for each other."""

from __future__ import annotations

import re
from datetime import date

from calclib.errors.messages import BadInput
from calclib.wording.facts import fact

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
_DATE = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2}), ?(\d{4})", re.ASCII)


def read_date(text: str) -> date:
    """Return the day that a text such as “March 15, 2026” names.

    Raises:
        BadInput: It names none.
    """
    match = _DATE.fullmatch(text.strip())
    months = [n for n, month in enumerate(MONTHS, 1) if match and month.lower().startswith(match[1].lower())]
    if match is None or len(months) != 1:
        raise BadInput(fact("errors_quantity.no_date"))
    try:
        return date(int(match[3]), months[0], int(match[2]))
    except ValueError:
        raise BadInput(
            fact("errors_quantity.no_such_day", month=MONTHS[months[0] - 1], year=match[3], day=match[2])
        ) from None


def date_text(day: date) -> str:
    """Return a date as it is printed."""
    return f"{MONTHS[day.month - 1]} {day.day}, {day.year}"
