"""What is written on a board, ready for a page: words, signs, and products of fractions with their units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from calclib.chains.latex import canceled_units
from calclib.chains.shown import Amount, Line, Maths, Ratio, Sign, Words
from calclib.quantity.units import unit_table
from calclib.quantity.writing import is_singular, plural, singular, write_unit
from calclib.wording.sentences import said, sentence

AMOUNT = "amount"

# Words, a sign, a gap with its label, or a product of fractions.
Piece = dict[str, Any]


@dataclass(frozen=True)
class Place:
    """Where a number is left out of a line: the line's step and place in it, the segment, the factor and its side."""

    step: str
    line: int
    segment: int
    ratio: int
    side: Literal["top", "bottom"]
    amount: Amount


def pieces_of(line: Line, gap: Place | None, opened: bool, hidden: Amount | None = None) -> tuple[Piece, ...]:
    """Return a line ready for a page.

    Args:
        line: The line.
        gap: The number that is left out of it, None for none.
        opened: Whether the answer is asked; what the line comes to is left open then.
        hidden: An amount that stands in a gap elsewhere, shown as a question mark.
    """
    pieces: list[Piece] = []
    for index, segment in enumerate(line):
        if isinstance(segment, Words):
            pieces.append({"words": segment.what if isinstance(segment.what, str) else sentence(segment.what)})
        elif isinstance(segment, Sign):
            pieces.append({"sign": segment.text})
        elif segment.result:
            pieces.append({"words": "?"} if opened else {"product": [{"top": _result(segment.ratios[0])}]})
        else:
            here = gap if gap is not None and gap.segment == index else None
            pieces.append({"product": _product(segment, here, hidden), "root": segment.root})
    return tuple(pieces)


def _result(ratio: Ratio) -> dict[str, Any]:
    shown = ratio.top
    assert shown is not None
    unit = write_unit(str(shown.unit), one=is_singular(shown.number)) if shown.unit.powers else ""
    number = said("worked.about", amount=shown.number) if shown.about else shown.number
    return {"number": number, "units": [{"text": unit, "struck": False}] if unit else []}


def _product(maths: Maths, gap: Place | None, hidden: Amount | None) -> list[dict[str, Any]]:
    struck = canceled_units(maths)
    sides = [_ratio(ratio, place, struck, gap, hidden) for place, ratio in enumerate(maths.ratios)]
    return _joined(sides)


def _joined(sides: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What only divides goes below the first factor that stands alone, as a hand writes it."""
    shown = [one for one in sides if "top" in one]
    for below in (one["bottom"] for one in sides if "top" not in one):
        alone = next((one for one in shown if "bottom" not in one), None)
        if alone is None:
            shown.append({"top": {"number": "1", "units": []}, "bottom": below})
        else:
            alone["bottom"] = below
    return shown


def _ratio(
    ratio: Ratio,
    place: int,
    struck: Mapping[tuple[int, str], frozenset[str]],
    gap: Place | None,
    hidden: Amount | None,
) -> dict[str, Any]:
    """A factor as a fraction: mL/h stands as mL above h."""
    sides: dict[str, Any] = {}
    over: list[dict[str, Any]] = []
    for side, shown in (("top", ratio.top), ("bottom", ratio.bottom)):
        if shown is None:
            continue
        if gap is not None and (gap.ratio, gap.side) == (place, side):
            sides[side] = {"gap": AMOUNT, "label": "The missing number, with its unit"}
            continue
        if shown == hidden:
            sides[side] = {"number": "?", "units": []}
            continue
        cut = struck.get((place, side), frozenset())
        other = struck.get((place, "bottom" if side == "top" else "top"), frozenset())
        sides[side] = {"number": shown.number, "units": _units(shown, 1, cut, one=is_singular(shown.number))}
        if side == "top":
            over = _units(shown, -1, other, one=True)
    if over and "bottom" not in sides:
        sides["bottom"] = {"number": "", "units": over}
    return sides


def _units(shown: Amount, sign: int, struck: frozenset[str], *, one: bool) -> list[dict[str, Any]]:
    words = unit_table().word_of
    return [
        {
            "text": _to_power(singular(words[symbol]) if one else plural(words[symbol]), exponent),
            "struck": symbol in struck,
        }
        for symbol, exponent in shown.unit.powers
        if exponent * sign > 0
    ]


def _to_power(word: str, exponent: int) -> str:
    """A unit as it is typed: m2 for square meters."""
    return word if abs(exponent) == 1 else f"{word}{abs(exponent)}"
