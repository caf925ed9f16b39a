"""The words in which an order names its route and how often a dose is given: a closed list, read from the start."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from calclib.formulary.records import INJECTED, Route

_ROUTES = {
    "by injection": INJECTED,
    "by mouth": (Route.ORAL,),
    "oral": (Route.ORAL,),
    "IV": (Route.IV,),
    "slow IV": (Route.IV,),
    "IM": (Route.IM,),
    "subcut": (Route.SC,),
    "for local anesthesia": (Route.INFILTRATION,),
    "by the anesthetist, for a nerve block": (Route.INFILTRATION,),
    "by the anesthesia provider, for a nerve block": (Route.INFILTRATION,),
}
_ONCE = ("once daily", "at bedtime", "in the morning")
_TWICE = "twice daily"
_EVERY = re.compile(r"every (\d{1,3}) h(?: |,|$)")
_TIMES = re.compile(r"(\d{1,2}) times (?:a day|daily)\b")
_DAY = 24


@lru_cache(maxsize=1024)
def routes_named(text: str) -> tuple[Route, ...]:
    """Return the routes that an order's words leave open: all three ways of injection for “by injection”.

    Returns:
        () where the words begin with none that is known.
    """
    found = [words for words in _ROUTES if text == words or re.match(rf"{re.escape(words)}\b", text)]
    return _ROUTES[max(found, key=len)] if found else ()


def doses_a_day_named(text: str) -> Fraction | None:
    """Return how many doses a day words such as “every 8 h”, “twice daily” and “at bedtime” mean; None if unknown."""
    if text.startswith(_ONCE):
        return Fraction(1)
    if text.startswith(_TWICE):
        return Fraction(2)
    if found := _EVERY.match(text):
        return Fraction(_DAY, int(found[1])) if int(found[1]) else None
    found = _TIMES.match(text)
    return Fraction(int(found[1])) if found else None
