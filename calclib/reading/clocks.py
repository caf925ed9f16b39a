"""Reads a typed clock time: 0130, 13:30, 1:30 pm, noon, with a day if said.

A time without am or pm is read on the 24-hour clock. 2400 and midnight are 0000 without a day said.
"""

from __future__ import annotations

from dataclasses import dataclass

from calclib.reading.plain_text.tokens import LOOK_AHEAD, Token
from calclib.reading.records import Reading, Unreadable
from calclib.reading.spoken_times import ORDINALS, SpokenTime, spoken_time
from calclib.reading.vocabulary import AROUND_TIME, BEFORE, NUMBERS, WEEKDAYS
from calclib.reading.writing import shown_clock
from calclib.wording.facts import fact

_HOUR_WORDS = frozenset({"h", "hr", "hrs", "hour", "hours"})
_PASSED = frozenset({".", ",", ";", "(", ")", "[", "]", '"', "'", "~", "=", ":", "@", "!", "?"})
_HALVES = {"am": "am", "a": "am", "pm": "pm", "p": "pm", "morning": "am", "afternoon": "pm", "evening": "pm"}
_NIGHT = 18
_AGAIN = frozenset({"(", "/", "=", "or"})
_DAY_WORDS = frozenset({"d", "day", "days"})
_PARTS_OF_DAY = ("day", "morning", "afternoon", "evening", "night")
_NAMED_DAYS = {
    "tomorrow": 1,
    "today": 0,
    "yesterday": -1,
    **dict.fromkeys(("tmrw", "tmr", "tomorow", "tommorow", "tommorrow"), 1),
}
_MOST_DAYS = 14


@dataclass
class _Found:
    """What has been found so far, each at most once."""

    ordered: bool
    hour: int | None = None
    minute: int = 0
    needs_half: bool = False
    named: str = ""
    half: str = ""
    evening: bool = False
    night: str = ""
    days: int | None = None


def read_clock(text: str, tokens: list[Token], *, ordered: bool = False) -> Reading:
    """The one time of day in the tokens; raises Unreadable if there is none, more than one, or it can't be.

    Args:
        text: The text, as typed.
        tokens: Its tokens.
        ordered: Whether it is an order's, whose hours with am and pm go from 1 to 12: “13 pm” is no time there.
    """
    try:
        minutes, days = _one_time(tokens, ordered)
    except Unreadable:
        twice = _said_twice(tokens, ordered)
        if twice is None:
            raise
        minutes, days = twice
    return Reading(text, None, None, (), (minutes, days), None, (), shown_clock(minutes, days))


def _one_time(tokens: list[Token], ordered: bool) -> tuple[int, int | None]:
    found = _Found(ordered)
    place = 0
    while tokens[place].kind:
        place = _next(tokens, place, found)
    return _minutes(found, tokens[0].start), found.days


def _said_twice(tokens: list[Token], ordered: bool) -> tuple[int, int | None] | None:
    """The time of "13:30 (1:30 pm)"; None if the parts aren't two times. Raises Unreadable if they differ."""
    place = next((index for index, token in enumerate(tokens) if token.text.lower() in _AGAIN), len(tokens))
    if not 0 < place < len(tokens):
        return None
    try:
        minutes, days = _one_time([*tokens[:place], *tokens[-LOOK_AHEAD:]], ordered)
        again, again_days = _one_time(tokens[place + 1 :], ordered)
    except Unreadable:
        return None
    if again != minutes or (days is not None and again_days not in (None, days)):
        raise _two_times(tokens[place].start)
    return minutes, again_days if days is None else days


def _lower(tokens: list[Token], place: int) -> str:
    return tokens[place].text.lower() if place < len(tokens) else ""


def _next(tokens: list[Token], place: int, found: _Found) -> int:
    kind, text, start, glued = tokens[place]
    word = text.lower()
    if spoken := spoken_time(tokens, place):
        return _say_spoken(found, spoken, start)
    if kind == "n":
        later = _days_later(tokens, place, found) or _ordinal_day(tokens, place, found)
        return later or _time(tokens, place, found)
    if kind == "+" and tokens[place + 1].kind == "n":
        return _plus_days(tokens, place, found)
    if kind in _PASSED:
        return place + 1
    if kind != "w":
        raise Unreadable(fact("unread.cannot_read_in_time", text=text[:20]), start)
    if word in ("noon", "midday", "midnight"):
        if found.named or found.half:
            raise _two_times(start)
        found.named = "noon" if word == "midday" else word
        return place + 1
    if after := _day_said(tokens, place, found):
        return after
    if word in WEEKDAYS:
        raise Unreadable(fact("unread.weekday_does_not_say_how_many_days"), start)
    if word in ("tonight", "night"):
        found.night = word
        return place + 1
    if word in _HALVES and (word not in ("a", "p") or (glued and tokens[place - 1].kind == "n")):
        _say_half(found, word, start)
        return place + 1
    _refuse_letters_on_digits(tokens, place)
    next_dose = word == "next" and _lower(tokens, place + 1) == "dose"
    if next_dose or word in BEFORE or word in AROUND_TIME or (word in _HOUR_WORDS and found.hour is not None):
        return place + 1
    raise Unreadable(fact("unread.cannot_read_in_time", text=text[:20]), start)


def _say_spoken(found: _Found, spoken: SpokenTime, position: int) -> int:
    if found.hour is not None:
        raise _two_times(position)
    found.needs_half = spoken.hour <= 12
    _set(found, spoken.hour, spoken.minute, position)
    return spoken.after


def _day_said(tokens: list[Token], place: int, found: _Found) -> int | None:
    if after := _numbered_day(tokens, place, found):
        return after
    later = _days_later(tokens, place, found) if _lower(tokens, place) in NUMBERS else None
    return later or _day_words(tokens, place, found)


def _say_half(found: _Found, word: str, position: int) -> None:
    if found.half not in ("", _HALVES[word]):
        raise Unreadable(fact("unread.says_both_am_and_pm"), position)
    found.half = _HALVES[word]
    found.evening = found.evening or word == "evening"


def _numbered_day(tokens: list[Token], place: int, found: _Found) -> int | None:
    """ "day 2", "day two", "second day"."""
    word, start, following = _lower(tokens, place), tokens[place].start, _lower(tokens, place + 1)
    if word in ORDINALS and following == "day":
        return _say_days(found, ORDINALS[word] - 1, start, place + 2)
    if word != "day":
        return None
    if tokens[place + 1].kind == "n":
        if following not in ("1", "2", "3", "4", "5", "6", "7"):
            raise Unreadable(fact("unread.cannot_read_day"), start)
        return _say_days(found, int(following) - 1, start, place + 2)
    count = NUMBERS.get(following, 0)
    return _say_days(found, count - 1, start, place + 2) if count else None


def _refuse_letters_on_digits(tokens: list[Token], place: int) -> None:
    """A word that stands on digits without a blank could be digits itself: 0I30."""
    word, following = tokens[place], tokens[place + 1]
    beside = (word.glued and tokens[place - 1].kind == "n") or (following.kind == "n" and following.glued)
    if beside and word.text.lower() not in _HOUR_WORDS:
        raise Unreadable(fact("unread.letters_or_digits_in_time"), word.start)


def _two_times(position: int) -> Unreadable:
    return Unreadable(fact("unread.two_times"), position)


def _say_days(found: _Found, days: int, position: int, after: int) -> int:
    if found.days not in (None, days):
        raise Unreadable(fact("unread.two_different_days_said"), position)
    if days > _MOST_DAYS:
        raise Unreadable(fact("unread.more_than_days_later_cannot_answer", days=_MOST_DAYS), position)
    found.days = days
    return after


def _count(tokens: list[Token], place: int) -> int | None:
    word = _lower(tokens, place)
    if word in NUMBERS:
        return NUMBERS[word]
    return int(word) if tokens[place].kind == "n" and word.isdigit() and len(word) <= 2 else None


def _days_later(tokens: list[Token], place: int, found: _Found) -> int | None:
    """ "2 days later", "one day after", "2 days before"."""
    count = _count(tokens, place)
    if count is None or _lower(tokens, place + 1) not in ("day", "days"):
        return None
    way = _lower(tokens, place + 2)
    if way in ("before", "earlier"):
        return _say_days(found, -count, tokens[place].start, place + 3)
    after = place + 3 if way in ("later", "after") else place + 2
    return _say_days(found, count, tokens[place].start, after)


def _ordinal_day(tokens: list[Token], place: int, found: _Found) -> int | None:
    """ "2nd day"."""
    ending = tokens[place + 1]
    if ending.text.lower() not in ("st", "nd", "rd", "th") or not ending.glued or _lower(tokens, place + 2) != "day":
        return None
    count = _count(tokens, place)
    return None if not count else _say_days(found, count - 1, tokens[place].start, place + 3)


def _plus_days(tokens: list[Token], place: int, found: _Found) -> int:
    """ "+1", "+1 day", "+1d"."""
    count = _count(tokens, place + 1)
    following = tokens[place + 2]
    unclear = following.kind in (":", "n") or (following.kind == "w" and following.text.lower() not in _DAY_WORDS)
    if count is None or unclear:
        raise Unreadable(fact("unread.cannot_read_what_added"), tokens[place].start)
    return _say_days(found, count, tokens[place].start, place + (3 if following.kind == "w" else 2))


def _day_words(tokens: list[Token], place: int, found: _Found) -> int | None:
    """ "next day", "the following morning", "same day", "tomorrow", "the day before", "the day after tomorrow"."""
    word, second = _lower(tokens, place), _lower(tokens, place + 1)
    start = tokens[place].start
    if word == "day" and second == "after" and _lower(tokens, place + 2) == "tomorrow":
        return _say_days(found, 2, start, place + 3)
    if word == "day" and second in ("after", "later"):
        return _say_days(found, 1, start, place + 2)
    if word in _PARTS_OF_DAY and second in ("before", "earlier"):
        return _say_days(found, -1, start, place + 2 if word == "day" else place + 1)
    if word in ("before", "earlier") and found.days == -1:
        return place + 1
    if word in ("previous", "preceding", "prior") and second in _PARTS_OF_DAY:
        return _say_days(found, -1, start, place + 2 if second == "day" else place + 1)
    if word in _NAMED_DAYS:
        return _say_days(found, _NAMED_DAYS[word], start, place + 1)
    if word in ("next", "following", "same"):
        if second == "day":
            return _say_days(found, 0 if word == "same" else 1, start, place + 2)
        if second in ("morning", "afternoon", "evening"):
            return _say_days(found, 0 if word == "same" else 1, start, place + 1)
    return None


def _time(tokens: list[Token], place: int, found: _Found) -> int:
    """A time in digits, which may take several tokens."""
    _, text, start, _ = tokens[place]
    if found.hour is not None:
        raise _two_times(start)
    following = tokens[place + 1]
    minute = tokens[place + 2]
    if following.kind == ":" or (following.text.lower() in _HOUR_WORDS and following.glued and minute.glued):
        if minute.kind == "n" and len(minute.text) == 2 and minute.text.isdigit() and text.isdigit() and len(text) <= 2:
            _set(found, int(text), int(minute.text), start)
            return _past_seconds(tokens, place + 3)
        if following.kind == ":":
            raise Unreadable(fact("unread.cannot_read_time"), start)
    if text.isdigit() and len(text) in (3, 4):
        _set(found, int(text[:-2]), int(text[-2:]), start)
        return place + 1
    whole, point, minutes = text.partition(".")
    if point and whole.isdigit() and len(whole) <= 2 and minutes.isdigit() and len(minutes) == 2:
        found.needs_half = int(whole) <= 12 and whole[0] != "0"
        _set(found, int(whole), int(minutes), start)
        return place + 1
    if text.isdigit() and len(text) <= 2:
        found.needs_half = True
        minute = following
        if minute.kind == "n" and len(minute.text) == 2 and minute.text.isdigit():
            _set(found, int(text), int(minute.text), start)
            return place + 2
        _set(found, int(text), 0, start)
        return place + 1
    raise Unreadable(fact("unread.cannot_read_time"), start)


def _past_seconds(tokens: list[Token], place: int) -> int:
    if tokens[place].kind != ":" or tokens[place + 1].kind != "n":
        return place
    if tokens[place + 1].text != "00":
        raise Unreadable(fact("unread.type_hours_and_minutes_only_like_0130"), tokens[place + 1].start)
    return place + 2


def _set(found: _Found, hour: int, minute: int, start: int) -> None:
    if minute > 59 or hour > 24 or (hour == 24 and minute):
        raise Unreadable(fact("unread.no_such_time"), start)
    found.hour, found.minute = hour, minute


def _minutes(found: _Found, position: int) -> int:
    hour = found.hour
    if found.named:
        return _named_minutes(found, position)
    if found.night:
        _at_night(found, position)
    if hour is None:
        raise Unreadable(fact("unread.no_time"), position)
    if found.half:
        return _half_day_hour(hour, found, position) * 60 + found.minute
    if found.needs_half:
        raise Unreadable(fact("unread.say_am_or_pm"), position)
    if hour == 24:
        if found.days is not None:
            raise Unreadable(fact("unread.midnight_2400_with_day"), position)
        hour = 0
    return hour * 60 + found.minute


def _at_night(found: _Found, position: int) -> None:
    """ "11 at night" is before midnight; "tonight" is also the same day. A small hour could be either side of it."""
    hour = found.hour or 0
    if found.night == "tonight":
        if found.half == "am":
            raise Unreadable(fact("unread.time_after_midnight_tonight_could_two_days"), position)
        if found.half or hour >= _NIGHT:
            _say_days(found, 0, position, 0)
            return
    elif found.half or hour >= _NIGHT:
        return
    if not (found.night == "night" and 8 <= hour <= 11):
        raise Unreadable(fact("unread.say_am_or_pm"), position)
    found.half = "pm"


def _half_day_hour(hour: int, found: _Found, position: int) -> int:
    """The hour on the 24-hour clock of an hour with am or pm."""
    morning = found.half == "am"
    impossible = found.ordered and not 1 <= hour <= 12
    other_half = hour > 12 if morning else hour == 0
    if impossible or other_half or hour == 24 or (found.evening and hour == 12):
        raise Unreadable(fact("unread.time_cannot_be_half", half=found.half), position)
    if morning:
        return 0 if hour == 12 else hour
    return hour if hour >= 12 else hour + 12


def _named_minutes(found: _Found, position: int) -> int:
    noon = found.named == "noon"
    if found.night:
        raise Unreadable(fact("unread.midnight_tonight_could_two_days"), position)
    if found.hour is not None and (found.minute or found.hour not in ((12,) if noon else (0, 12, 24)) or found.half):
        raise _two_times(position)
    if noon:
        return 720
    if found.days is not None:
        raise Unreadable(fact("unread.midnight_with_day_can_two_days"), position)
    return 0
