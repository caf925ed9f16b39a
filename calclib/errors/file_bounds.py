"""How large a TOML file that people write may be: its length, its depth, its lists, its numbers and its dates.

A file may come from a stranger. It is held to these bounds before anything is made of it, so that nothing later is
costlier than they allow, and so that nothing is printed or counted that has no end.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from decimal import Decimal, InvalidOperation
from typing import Any

from calclib.errors.file_lines import Place
from calclib.errors.messages import BadInput
from calclib.wording.facts import Fact, fact

MAX_FILE = 64_000
MAX_LINE = 2_000
MAX_DEPTH = 6
MAX_LIST = 400
MAX_NAME = 60
MAX_TEXT = 600
MAX_WHOLE = 10**12
MAX_DIGITS = 40
FIRST_YEAR, LAST_YEAR = 2000, 2199

Beyond = Iterator[tuple[Place, Fact]]
TOO_DEEP = fact("errors.too_deep")


def refuse_long(text: str, where: str, what: Fact, own: int | None = None, longest: int = MAX_FILE) -> None:
    """Refuse a file or a line of it that is too long.

    Args:
        text: The text of the file.
        where: Its name, for messages.
        what: What the file is.
        own: Number of characters that count, if not all of them do.
        longest: How many of them the file may have.

    Raises:
        BadInput: It is; the line is named.
    """
    if (len(text) if own is None else own) > longest:
        raise BadInput(fact("errors.file_too_long", what=what, most=longest), where=where)
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > MAX_LINE:
            raise BadInput(fact("errors.line_too_long", most=MAX_LINE), where=where, line=number)


def exact_number(text: str) -> Decimal:
    """Return a TOML number with a decimal point; one beyond all writing is infinite, and refused by its field."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("Infinity")


def long_text(text: str, place: Place) -> Beyond:
    """Yield a text that is too long."""
    if len(text) > MAX_TEXT:
        yield place, fact("errors.text_too_long", most=MAX_TEXT, length=len(text))


def beyond_bounds(value: Any, of_text: Callable[[str, Place], Beyond] = long_text, place: Place = ()) -> Beyond:
    """Yield whatever is too large or too deep within a value of a TOML file, with its place.

    Args:
        value: The value.
        of_text: What is wrong with a text.
        place: Where the value stands.
    """
    if len(place) > MAX_DEPTH:
        yield place, TOO_DEEP
    elif isinstance(value, dict):
        for key, inner in value.items():
            if len(key) > MAX_NAME:
                yield (*place, key), fact("errors.name_too_long", most=MAX_NAME)
            yield from beyond_bounds(inner, of_text, (*place, key))
    elif isinstance(value, list):
        if len(value) > MAX_LIST:
            yield place, fact("errors.list_too_long", most=MAX_LIST, length=len(value))
        for number, inner in enumerate(value):
            yield from beyond_bounds(inner, of_text, (*place, number))
    elif isinstance(value, str):
        yield from of_text(value, place)
    elif isinstance(value, int) and abs(value) > MAX_WHOLE:
        yield place, fact("errors.number_too_large")
    elif isinstance(value, Decimal) and len(value.as_tuple().digits) > MAX_DIGITS:
        yield place, fact("errors.too_many_digits", most=MAX_DIGITS)
    elif isinstance(value, dt.date) and not FIRST_YEAR <= value.year <= LAST_YEAR:
        yield place, fact("errors.year_out_of_range", first=FIRST_YEAR, last=LAST_YEAR, year=value.year)
