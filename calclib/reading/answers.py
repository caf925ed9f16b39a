"""Reads one typed answer."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from calclib.reading.choices import read_choice
from calclib.reading.clocks import read_clock
from calclib.reading.context import NO_CONTEXT, Context
from calclib.reading.plain_text.characters import plain_text
from calclib.reading.plain_text.markup import without_markup
from calclib.reading.plain_text.tokens import cut_tokens
from calclib.reading.quantities import read_common_quantity, read_quantity
from calclib.reading.records import LONGEST_ANSWER, Blank, Reading, Unread, Unreadable
from calclib.reading.setups import read_setup
from calclib.reading.vocabulary import BLANK
from calclib.wording.facts import fact

_NO_CHOICES: Mapping[str, str] = MappingProxyType({})
_EMPTY = " \t\n\r\f\v.?_-\"'"


def read_answer(
    text: str, asked: str, *, choices: Mapping[str, str] = _NO_CHOICES, context: Context = NO_CONTEXT
) -> Reading | Unread | Blank:
    """The one reading of a typed text, or why there is none.

    Args:
        text: Any text, as typed. It is never evaluated.
        asked: "quantity", "clock", "choice" or "setup".
        choices: The choices by id, for "choice".
        context: The problem, where it is known; it can only make a text read that would be unread without it.

    Raises:
        ValueError: `asked` is none of the four. No text raises.
    """
    if asked == "setup":
        return _setup(text, context)
    if len(text) > LONGEST_ANSWER:
        return Unread(text, fact("unread.answer_too_long"), LONGEST_ANSWER)
    plain, places = plain_text(text)
    bare = plain.strip(_EMPTY)
    if not bare or (not bare[0].isdigit() and bare.lower() in BLANK):
        return Blank(text)
    usual = read_common_quantity(text, plain) if asked == "quantity" and context is NO_CONTEXT else None
    if usual is not None:
        return usual
    try:
        plain, places = without_markup(plain, places)
        if asked == "quantity":
            return read_quantity(text, plain, context)
        if asked == "clock":
            return read_clock(text, cut_tokens(plain), ordered=context.ordered)
        if asked == "choice":
            return read_choice(text, choices)
    except Unreadable as stop:
        return Unread(text, stop.why, places[stop.position] if places else stop.position)
    raise ValueError(f"asked is '{asked}'; it should be quantity, clock, choice or setup")


def says_nothing(text: str) -> bool:
    """Tell whether a text says only that there is no answer, such as "I don't know."."""
    bare = text.replace("\u2019", "'").strip(f"{_EMPTY}!,;:*#()").lower()
    return not bare or bare in BLANK


def _setup(text: str, context: Context) -> Reading | Unread | Blank:
    if not text.strip(_EMPTY):
        return Blank(text)
    found = read_setup(text, context)
    if isinstance(found, Unread):
        return found
    return Reading(text, None, None, (), None, None, found.notices, found.shown)
