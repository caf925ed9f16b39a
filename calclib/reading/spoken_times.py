"""Times of day in words: half past one, a quarter to two, one thirty, eleven forty-five."""

from __future__ import annotations

from typing import NamedTuple

from calclib.reading.plain_text.tokens import Token
from calclib.reading.vocabulary import NUMBERS

ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4}
_PARTS = {"half": 30, "quarter": 15}
_PAST = frozenset({"past", "after"})
_TO = frozenset({"to", "before", "till"})
_MINUTES = frozenset({"min", "mins", "minute", "minutes"})
_NEVER_AN_HOUR = 13
_ZEROS = frozenset({"oh", "o", "zero"})


class SpokenTime(NamedTuple):
    """Hour and minute as said, and the token after them."""

    hour: int
    minute: int
    after: int


def spoken_time(tokens: list[Token], place: int) -> SpokenTime | None:
    """The time that is said from token `place` on; None if none is."""
    return _past_or_to(tokens, place) or _hour_and_minutes(tokens, place)


def _number(tokens: list[Token], place: int) -> tuple[int, int] | None:
    """A number below 60 in words or in one or two digits, and the token after it."""
    kind, text, _, _ = tokens[place]
    if kind == "n":
        return (int(text), place + 1) if text.isdigit() and len(text) <= 2 and int(text) < 60 else None
    tens = NUMBERS.get(text.lower())
    if tens is None:
        return None
    place += 1
    hyphen = 1 if tokens[place].kind == "-" else 0
    ones = NUMBERS.get(tokens[place + hyphen].text.lower(), 0)
    if tens >= 20 and 0 < ones < 10:
        tens, place = tens + ones, place + hyphen + 1
    return (tens, place) if tens < 60 else None


def _past_or_to(tokens: list[Token], place: int) -> SpokenTime | None:
    """ "half past one", "20 minutes to 9"; "8 to 9" is none, since it could be a range of hours."""
    part = _PARTS.get(tokens[place].text.lower())
    minutes = (part, place + 1) if part else _number(tokens, place)
    if minutes is None:
        return None
    minute, after = minutes
    said = part is not None
    if tokens[after].text.lower() in _MINUTES:
        said, after = True, after + 1
    word = tokens[after].text.lower()
    hours = _number(tokens, after + 1)
    if hours is None or hours[0] > 24 or tokens[hours[1]].kind == ":":
        return None
    if word in _PAST:
        return SpokenTime(hours[0], minute, hours[1])
    if word in _TO and minute and hours[0] not in (0, 12) and (said or minute >= _NEVER_AN_HOUR):
        return SpokenTime(hours[0] - 1 if hours[0] != 1 else 12, 60 - minute, hours[1])
    return None


def _hour_and_minutes(tokens: list[Token], place: int) -> SpokenTime | None:
    """ "one thirty", "seven"; the hour is a word."""
    if tokens[place].kind != "w" or (hours := _number(tokens, place)) is None or hours[0] > 23:
        return None
    hour, after = hours
    if tokens[after].text.lower() in ("day", "days", "hour", "hours", "min", "minutes"):
        return None
    zero = 1 if tokens[after].text.lower() in _ZEROS else 0
    minutes = _number(tokens, after + zero) if tokens[after + zero].kind == "w" else None
    if minutes is None or (zero == 0 and minutes[0] < 10) or (zero and not 0 < minutes[0] < 10):
        return SpokenTime(hour, 0, after)
    return SpokenTime(hour, minutes[0], minutes[1])
