"""What English does to the words of a value: its article, its verb, and whether it is singular or plural."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping

# What ends the head of a phrase: the head of “doses left in the bottle” is “doses”.
_AFTER_HEAD = re.compile(
    r" (?:of|in|for|on|at|to|by|from|that|than|after|before|with|without|until|since|between|above|below|per|a|an|"
    r"past|left|allowed|given|needed|used|taken|ordered|drawn|added|counted|compared|times|raised|met|remaining|"
    r"already|minus|shown|infused|missing)\b"
)
_OWN_ARTICLE = re.compile(r"[0-9]|(?:one|half|each|every|another|both) ")
_PLURAL_WITHOUT_S = frozenset({"mEq", "milliequivalents"})


def the(phrase: str) -> str:
    """Return a phrase with its article: “the drop factor”, but “140 minus the age” and “one dose” without one.

    Args:
        phrase: The words of a given, a step or a constant.
    """
    return phrase if _OWN_ARTICLE.match(phrase) else f"the {phrase}"


def is_plural(phrase: str) -> bool:
    """Return whether a phrase takes a plural verb: “the doses left in the bottle”, not “the dose in mg”.

    Args:
        phrase: The words of a given, a step or a constant.
    """
    head = _AFTER_HEAD.split(phrase, maxsplit=1)[0].rstrip(",").rpartition(" ")[2]
    return head in _PLURAL_WITHOUT_S or (head.endswith("s") and not head.endswith(("ss", "us", "is")))


def capital(phrase: str) -> str:
    """Return a phrase as it begins a sentence."""
    return f"{phrase[:1].upper()}{phrase[1:]}"


def small(phrase: str) -> str:
    """Return a phrase as it goes on within a sentence."""
    return f"{phrase[:1].lower()}{phrase[1:]}"


MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def day(at: str) -> str:
    """Return the day of a time as ISO 8601 writes it: “December 2, 2026”."""
    time = dt.datetime.fromisoformat(at)
    return f"{MONTHS[time.month - 1]} {time.day}, {time.year}"


def weekday(at: str) -> str:
    """Return the day of a time with its day of the week, as a calendar shows it: “Mon, December 7”."""
    time = dt.datetime.fromisoformat(at)
    return f"{WEEKDAYS[time.weekday()]}, {MONTHS[time.month - 1]} {time.day}"


def moment(at: str) -> str:
    """Return such a time with its zone: “December 2, 2026, 04:59 UTC”, “December 1, 2026, 23:59 (UTC-05:00)”."""
    time = dt.datetime.fromisoformat(at)
    zone = time.tzname() or ""
    return f"{day(at)}, {time:%H:%M} {zone if zone == 'UTC' else f'({zone})'}"


def stopped(phrase: str) -> str:
    """Return a phrase with a period, unless a quotation ends with one."""
    return phrase if phrase.endswith(".”") else f"{phrase}."


def ended(phrase: str) -> str:
    """Return what a person wrote as a sentence, with a period unless it has its own end."""
    return phrase if phrase.endswith((".", "!", "?")) else f"{phrase}."


def unasked(phrase: str) -> str:
    """Return a phrase without a question mark at its end."""
    return phrase.rstrip("?")


def grouped(number: str) -> str:
    """Return a whole number with commas between its thousands: “20,000”."""
    return f"{int(number):,}"


def words(name: str) -> str:
    """Return a name of the code as words: “primed out”."""
    return name.replace("_", " ")


FORMS: Mapping[str, Callable[[str], str]] = {
    "the": the,
    "capital": capital,
    "small": small,
    "day": day,
    "weekday": weekday,
    "moment": moment,
    "stopped": stopped,
    "ended": ended,
    "unasked": unasked,
    "grouped": grouped,
    "quoted": repr,
    "words": words,
}
"""What may stand behind the colon of a gap: {phrase:the}."""

LISTS: Mapping[str, str] = {"list": "; ", "commas": ", ", "or": " or ", "line": " ", "quoted_or": " or "}
"""The same for several texts that are set side by side and not joined by a word."""
_WITHOUT_BLANK = (",", ";", "?")
"""What begins with one of these follows in a line without a blank."""


def form(text: str, form: str) -> str:
    """Return a text in a form of FORMS.

    Raises:
        KeyError: There is no such form.
    """
    return FORMS[form](text)


def joined(texts: tuple[str, ...], form: str = "") -> str:
    """Return several texts as one: “the body weight and the drop factor”, with commas from three on.

    Args:
        texts: The texts.
        form: A form of LISTS, or none.
    """
    if form == "line":
        return "".join(text if not n or text.startswith(_WITHOUT_BLANK) else f" {text}" for n, text in enumerate(texts))
    if form == "quoted_or":
        quoted = [f"“{text}”" for text in texts]
        return " or ".join([", ".join(quoted[:-1]), quoted[-1]] if len(quoted) > 1 else quoted)
    if form in LISTS:
        return LISTS[form].join(texts)
    if len(texts) < 3:
        return " and ".join(texts)
    return f"{', '.join(texts[:-1])}, and {texts[-1]}"


def is_many(text: str) -> bool:
    """Tell whether a text takes the sentence for several."""
    return is_plural(text)
