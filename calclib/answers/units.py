"""The unit that a student typed, unified with the unit that is asked."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.quantity.equivalences import bridge_factor, equivalences, exact_number
from calclib.quantity.units import Unit, parse_unit, readings_of, unit_table

COUNTED = frozenset({"tablets", "capsules", "doses", "vials", "puffs", "drug activity"})


@dataclass(frozen=True)
class TypedUnit:
    """How a typed unit compares with the one asked.

    Args:
        status: same, other (measures the same), missing or wrong.
        factor: What turns a typed number into the asked unit; None if it measures something else.
    """

    status: str
    factor: Fraction | None


MISSING = TypedUnit("missing", Fraction(1))
SAME = TypedUnit("same", Fraction(1))
WRONG = TypedUnit("wrong", None)
_PERIODS = {
    "day": re.compile(r"\b(?:in|for|each|a) (?:24 h(?:ours)?|(?:a |the |one )?day)\b"),
    "h": re.compile(r"\b(?:in|for|each|an) (?:1 h|(?:an |the |one )?hour)\b"),
}


@lru_cache(maxsize=8192)
def typed_unit(words: tuple[tuple[str, int], ...], asked: str, conversions: tuple[tuple[str, str], ...]) -> TypedUnit:
    """Return how the typed unit words compare with the unit asked.

    “Per dose” may be left out or said; so may the time of a counted thing (“6 vials” for vials/day). A mass word that
    can be body weight or drug is taken for what is asked.

    Args:
        words: Unit words with exponents as read; () if none was typed.
        asked: The asked unit as text; "" for a pure number.
        conversions: The item's conversions, name and text of the value.
    """
    words = tuple(("m", 2 * e) if word == "m2" else (word, e) for word, e in words if word != "dose")
    if not words:
        return MISSING if asked else SAME
    want = _asked_unit(asked)
    try:
        candidates = list(readings_of(words))
    except BadInput:
        return WRONG
    values = {name: exact_number(text) for name, text in conversions if name in equivalences()}
    for unit in candidates:
        if unit == want:
            return SAME
    for unit in candidates:
        factor = _factor(unit, want, values)
        if factor is not None:
            return TypedUnit("other", factor)
    if (percent := _percent_of(candidates, want)) is not None:
        return TypedUnit("other", percent)
    counted = _without_time(want)
    return SAME if counted is not None and counted in candidates else WRONG


def unit_in_period(
    words: tuple[tuple[str, int], ...], asked: str, question: str, conversions: tuple[tuple[str, str], ...]
) -> TypedUnit | None:
    """Return how a typed unit compares with the unit asked where the question says the time: mg, or mg/day, in 24 h.

    None where the question names no such time, or the unit is another one all the same.

    Args:
        words: Unit words with exponents as read.
        asked: The asked unit as text.
        question: The question as the student reads it.
        conversions: The item's conversions, name and text of the value.
    """
    for time, said in _PERIODS.items():
        each = (time, -1)
        if said.search(question) is None or not (each in words or asked.endswith(f"/{time}")):
            continue
        other = tuple(word for word in words if word != each) if each in words else (*words, each)
        unit = typed_unit(other, asked, conversions) if other else WRONG
        if unit.status in ("same", "other"):
            return unit
    return None


def _factor(unit: Unit, want: Unit, values: dict[str, Fraction]) -> Fraction | None:
    try:
        return bridge_factor(unit, want, values)
    except BadInput:
        return None  # temperatures measure the same, but no factor leads from one scale to the other


def _percent_of(candidates: list[Unit], want: Unit) -> Fraction | None:
    """What turns mass in volume into a percent strength, which is g in 100 mL; None where it is no such thing."""
    if want != parse_unit("%"):
        return None
    factors = (_factor(unit, parse_unit("g/mL"), {}) for unit in candidates)
    return next((100 * factor for factor in factors if factor is not None), None)


def _asked_unit(asked: str) -> Unit:
    """The unit asked; one that could be body weight or drug is what the words say by themselves."""
    return parse_unit(asked)


def _without_time(unit: Unit) -> Unit | None:
    """“vials” for vials/day: a counted thing needs no time said; None where the unit is no such count."""
    table = unit_table().dimension_of
    rest = tuple((s, e) for s, e in unit.powers if table[s] != "time")
    return Unit(rest) if len(rest) == 1 and rest[0][1] == 1 and table[rest[0][0]] in COUNTED else None
