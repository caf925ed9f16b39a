"""The words that the grammar knows, from `unit_words.toml` and `names.toml`."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

_DATA: dict[str, Any] = tomllib.loads(Path(__file__).with_name("unit_words.toml").read_text(encoding="utf-8"))

_NAMES: dict[str, list[str]] = tomllib.loads(Path(__file__).with_name("names.toml").read_text(encoding="utf-8"))

_UNIT_OF: dict[str, str] = {word: symbol for symbol, words in _DATA["units"].items() for word in words}
_UNCLEAR: dict[str, str] = _DATA["unclear"]

PHRASES: dict[tuple[str, str], str] = {tuple(words.split()): symbol for words, symbol in _DATA["phrases"].items()}
PHRASE_STARTS = frozenset(first for first, _ in PHRASES)
RATES: dict[str, str] = _DATA["rates"]
SCHEDULES = frozenset(_DATA["schedules"]["words"])
DOSES_A_DAY: dict[str, int] = _DATA["doses_a_day"]
MEANINGS: dict[str, dict[str, list[str]]] = _DATA["meanings"]
NAMES = frozenset(word for words in _NAMES.values() for word in words)
PER = frozenset(_DATA["words"]["per"])
BEFORE = frozenset(_DATA["words"]["before"])
AFTER = frozenset(_DATA["words"]["after"])
AROUND_TIME = frozenset(_DATA["words"]["around_time"])
WEEKDAYS = frozenset(_DATA["words"]["weekdays"])
SMALL = frozenset(_DATA["words"]["small"])
NEGATIONS = frozenset(_DATA["words"]["negations"])
BLANK = frozenset(_DATA["words"]["blank"])
REMARK = frozenset(_DATA["words"]["remark"])
NUMBERS: dict[str, int] = _DATA["numbers"]
FRACTIONS: dict[str, int] = _DATA["fractions"]
SCALES: dict[str, int] = _DATA["scales"]
FREQUENCY: dict[str, int] = _DATA["frequency"]
COMPOUND: dict[tuple[str, str], int] = {(large, small): count for large, small, count in _DATA["compound"]["pairs"]}

UNIT_SYMBOLS = frozenset(_DATA["units"])
COUNTED = frozenset({"tab", "cap", "tsp", "tbsp", "cup", "vial", "dose", "puff"})
"""Units that are given in halves and quarters, so that 1/2 before them is a fraction."""

ORDERED: dict[str, str] = {
    **_UNIT_OF,
    **{f"{first} {second}": symbol for (first, second), symbol in PHRASES.items()},
    **{word: symbol for symbol, words in _DATA["orders"].items() for word in words},
}
"""The unit of each word, or words, that orders, labels and books write: more than an answer may hold."""


def ordered_unit(words: str) -> str | None:
    """The unit of words in an order or on a label; None if they are none."""
    return ORDERED.get(words) or ORDERED.get(words.lower())


def unit_symbol(word: str) -> str | None:
    """The unit symbol of one typed word; None if it isn't a unit or could be several."""
    symbol = _UNIT_OF.get(word)
    if symbol is None and word not in _UNCLEAR:
        symbol = _UNIT_OF.get(word.lower())
    return symbol


def unclear_unit(word: str) -> str | None:
    """What an ambiguous unit word could mean, in words; None if the word is clear or no unit."""
    if word in _UNIT_OF:
        return None
    return _UNCLEAR.get(word) or (None if word.lower() in _UNIT_OF else _UNCLEAR.get(word.lower()))
