"""Reads what was typed for one part of an item, with what the problem says of unclear words."""

from __future__ import annotations

import re
from collections.abc import Iterable

from calclib.items.item import Item, ItemPart
from calclib.quantity.units import parse_unit, unit_table
from calclib.reading.context import Context
from calclib.reading.problem_readings import PERCENT, read_in_problem
from calclib.reading.records import Blank, Reading, Unread
from calclib.reading.vocabulary import UNIT_SYMBOLS, unit_symbol

_WORD = re.compile(r"[A-Za-zµ°%]+")
_SHORTEST_NAME = 4


def read_part(item: Item, part: ItemPart, text: str) -> Reading | Unread | Blank:
    """Return how a typed text is read as the answer to a part.

    Args:
        item: The item; it is looked at only where the text alone has no single reading.
        part: The part.
        text: What was typed.
    """
    return read_in_problem(
        text, part.kind, choices=part.choices, percent=part.unit == PERCENT, context=lambda: context_of(item, part)
    )


def context_of(item: Item, part: ItemPart, *, setup: bool = False) -> Context:
    """Return what a problem says of words that could mean several things.

    Args:
        item: The item; units and names are those of its stem and its parts.
        part: The part that is answered.
        setup: Whether a set-up is read.
    """
    givens = [(given.text, given.says) for given in item.givens]
    return problem_context(
        item.stem, givens, {one.unit for one in item.parts}, percent=part.unit == PERCENT, setup=setup
    )


def problem_context(
    stem: str, givens: Iterable[tuple[str, str]], asked: Iterable[str], *, percent: bool = False, setup: bool = False
) -> Context:
    """Return what a problem says of words that could mean several things.

    Args:
        stem: The problem.
        givens: Each given as it is stated, with the words for it.
        asked: The units that its parts ask for.
        percent: Whether a percent is asked.
        setup: Whether a set-up is read.
    """
    given, asked = list(givens), set(asked)
    words = {word for text in (stem, *(text for text, _ in given)) for word in _WORD.findall(text)}
    units = {symbol for word in words if len(word) > 1 and (symbol := unit_symbol(word))}
    units.discard("min")  # m is minutes only where minutes are asked
    units |= {symbol for text in asked for symbol in _symbols(text)} | asked
    names = {
        word.lower()
        for text, says in given
        if says in _NAMED
        for word in _WORD.findall(text)
        if len(word) >= _SHORTEST_NAME and unit_symbol(word) is None
    }
    return Context(frozenset(units), frozenset(names), percent, setup)


_NAMED = frozenset({"drug", "fluid", "diluent", "drink", "agent"})


def _symbols(unit: str) -> set[str]:
    """The reader's words for a unit: weight and drug are one gram to it."""
    word_of = unit_table().word_of
    powers = parse_unit(unit).powers
    found = {symbol.removesuffix("_weight").removesuffix("_drug") for symbol, _ in powers}
    return (found | {word_of[symbol] for symbol, _ in powers}) & UNIT_SYMBOLS
