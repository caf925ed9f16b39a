"""Units as exponents over named symbols, with drug mass and body weight kept apart."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from importlib.resources import files
from itertools import product

from calclib.errors.messages import BadInput
from calclib.quantity.kinds import given_kinds
from calclib.wording.facts import fact

Dimension = tuple[tuple[str, int], ...]

MOST_WORDS = 8
"""Words of one unit: each g, kg or oz doubles the readings that are tried."""


@dataclass(frozen=True)
class UnitTable:
    """What units.toml holds.

    `symbols_of` lists for each written word the symbols that it may stand for (g: drug mass or body weight).
    """

    dimension_of: Mapping[str, str]
    word_of: Mapping[str, str]
    plural_of: Mapping[str, str]
    singular_of: Mapping[str, str]
    symbols_of: Mapping[str, tuple[str, ...]]
    base_symbols: Mapping[str, str]
    order: Mapping[str, int]


@cache
def unit_table() -> UnitTable:
    """Return the table of clinical units, read once."""
    data = tomllib.loads(files("calclib.quantity").joinpath("units.toml").read_text(encoding="utf-8"))
    dimension_of = {symbol: dim for dim, symbols in data["dimensions"].items() for symbol in symbols}
    words = {symbol: data["words"].get(symbol, symbol) for symbol in dimension_of}
    symbols_of: dict[str, tuple[str, ...]] = {}
    for symbol in dimension_of:
        plain = {symbol.removesuffix("_weight").removesuffix("_drug"), words[symbol]}
        plain.update(data[name][symbol] for name in ("plurals", "singulars") if symbol in data[name])
        for word in sorted(plain | {symbol}):
            symbols_of[word] = (*symbols_of.get(word, ()), symbol)
    return UnitTable(
        dimension_of=dimension_of,
        word_of=words,
        plural_of=data["plurals"],
        singular_of=data["singulars"],
        symbols_of={word: tuple(dict.fromkeys(_default_first(word, s))) for word, s in symbols_of.items()},
        base_symbols={dim: symbols[0] for dim, symbols in data["dimensions"].items()},
        order={symbol: i for i, symbol in enumerate(dimension_of)},
    )


def _default_first(word: str, symbols: tuple[str, ...]) -> list[str]:
    return sorted(symbols, key=lambda symbol: symbol != word)


@dataclass(frozen=True)
class Unit:
    """A product of powers of unit symbols, for example mcg/kg/min.

    Args:
        powers: Pairs of resolved symbol and exponent, no exponent 0, in a fixed order.
    """

    powers: tuple[tuple[str, int], ...]

    # A unit is part of the key of every cache below, and a draw asks them hundreds of times.
    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash(self.powers)

    def __reduce__(self) -> tuple[type[Unit], tuple[object, ...]]:
        """Leave the hash behind: another process hashes texts otherwise."""
        return Unit, (self.powers,)

    @staticmethod
    def of(powers: Iterable[tuple[str, int]]) -> Unit:
        """Return the unit with these powers, equal symbols added up."""
        total: dict[str, int] = {}
        for symbol, exponent in powers:
            total[symbol] = total.get(symbol, 0) + exponent
        order = unit_table().order
        kept = sorted(((s, e) for s, e in total.items() if e), key=lambda pair: order[pair[0]])
        return Unit(tuple(kept))

    def __mul__(self, other: Unit) -> Unit:
        return _times(self, other)

    def __truediv__(self, other: Unit) -> Unit:
        return self * other**-1

    def __pow__(self, exponent: int) -> Unit:
        return self if exponent == 1 else _raised(self, exponent)

    @property
    def dimension(self) -> Dimension:
        """What the unit measures: pairs of dimension name and exponent, sorted."""
        return _dimension(self)

    def __str__(self) -> str:
        return unit_text(self)


# Draws compare and multiply the same few units again and again.
@lru_cache(maxsize=8192)
def _times(one: Unit, other: Unit) -> Unit:
    return Unit.of((*one.powers, *other.powers))


@lru_cache(maxsize=4096)
def _raised(unit: Unit, exponent: int) -> Unit:
    return Unit.of((symbol, e * exponent) for symbol, e in unit.powers)


@lru_cache(maxsize=4096)
def _dimension(unit: Unit) -> Dimension:
    return dimension_of_powers(unit.powers)


def dimension_of_powers(powers: Iterable[tuple[str, int]]) -> Dimension:
    """Return what these powers of symbols measure together, sorted by dimension name."""
    table = unit_table().dimension_of
    total: dict[str, int] = {}
    for symbol, exponent in powers:
        dim = table[symbol]
        total[dim] = total.get(dim, 0) + exponent
    return tuple(sorted((dim, e) for dim, e in total.items() if e))


_FIRST = ("drug mass", "drug activity", "drug charge", "drug substance", "volume", "drops", "tablets", "capsules")


@lru_cache(maxsize=4096)
def unit_text(unit: Unit) -> str:
    """Return the unit as it is written in an order: mcg/kg/min, mL/h, gtt/min."""
    table = unit_table()
    time = [p for p in unit.powers if table.dimension_of[p[0]] == "time"]
    rest = [p for p in unit.powers if table.dimension_of[p[0]] != "time"]
    rest.sort(key=lambda p: table.dimension_of[p[0]] not in _FIRST)
    top = [_power(table.word_of[s], e) for s, e in (*rest, *time) if e > 0]
    below = [_power(table.word_of[s], -e) for s, e in (*rest, *time) if e < 0]
    return "/".join([" x ".join(top) or ("1" if below else ""), *below])


def _power(word: str, exponent: int) -> str:
    return word if exponent == 1 else f"{word}{exponent}"


_WORD = re.compile(r"(%\s?TBSA|%|[A-Za-z_]+(?: [A-Za-z_]+)?)([0-9]?)")


@lru_cache(maxsize=8192)
def parse_unit(text: str, kind: str | None = None) -> Unit:
    """Return the unit that an author's text names.

    Args:
        text: Words joined by "/" and ".", for example "mcg/kg/min" or "cm.kg/m4"; "" is a pure number.
        kind: The kind of given (kinds.toml) that decides what g, kg and oz stand for.

    Raises:
        BadInput: A word is no unit, or the text does not fit the kind.
    """
    words: list[tuple[str, int]] = []
    for place, part in enumerate(text.split("/")):
        for piece in part.replace(" x ", ".").split("."):
            piece = piece.strip()
            if piece in ("", "1") and (place == 0):
                continue
            match = _WORD.fullmatch(piece)
            if match is None or match[1] not in unit_table().symbols_of:
                raise BadInput(fact("errors_quantity.no_unit", unit=piece))
            words.append((match[1], (1 if place == 0 else -1) * int(match[2] or 1)))
    if len(words) > MOST_WORDS:
        raise BadInput(fact("errors_quantity.unit_too_long", most=MOST_WORDS))
    return unify(tuple(words), kind_dimensions(kind) if kind else None, text)


@cache
def kind_dimensions(kind: str) -> tuple[Dimension, ...]:
    """Return the dimensions that a kind of given may have.

    Raises:
        BadInput: There is no such kind.
    """
    known = {name: one.units for name, one in given_kinds().items() if one.units}
    if kind not in known:
        raise BadInput(fact("errors_quantity.no_kind_of_given", name=kind, known=tuple(known)))
    return tuple(parse_unit(unit).dimension for unit in known[kind])


def readings_of(words: tuple[tuple[str, int], ...]) -> Iterable[Unit]:
    """Yield every unit that these written words may stand for, the usual one first.

    Raises:
        BadInput: A word is no unit.
    """
    table = unit_table().symbols_of
    try:
        options = [[(symbol, e) for symbol in table[word]] for word, e in words]
    except KeyError as missing:
        raise BadInput(fact("errors_quantity.no_unit", unit=missing.args[0])) from None
    for choice in product(*options):
        yield Unit.of(choice)


def unify(words: tuple[tuple[str, int], ...], wanted: tuple[Dimension, ...] | None, text: str | None = None) -> Unit:
    """Return the unit that written words stand for where one of the wanted dimensions is expected.

    Args:
        words: Written words with exponents, g, kg and oz unresolved.
        wanted: The dimensions that would fit, None for the usual reading.
        text: The words as typed, for the message.

    Raises:
        BadInput: No reading of the words fits.
    """
    for unit in readings_of(words):
        if wanted is None or unit.dimension in wanted:
            return unit
    shown = text or "".join(f"{word}{e} " for word, e in words).strip()
    raise BadInput(fact("errors_quantity.unit_does_not_fit", unit=shown))
