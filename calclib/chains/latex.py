"""Lines of a worked solution as mathematics in LaTeX, the units that cancel struck out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

from calclib.chains.shown import Amount, Line, Maths, Ratio, Sign, Words, is_about
from calclib.quantity.units import Unit, unit_table
from calclib.quantity.writing import is_singular, plural, singular, write_unit
from calclib.wording.facts import Fact, fact

_ESCAPED = re.compile(r"([%#$&_{}])")


def markdown_fact(line: Line) -> Fact:
    """Return a line as Markdown: words by their kind, signs and products between dollar signs."""
    pieces: list[Fact | str] = []
    formula: list[str] = []
    for segment, following in zip(line, (*line[1:], None), strict=True):
        if isinstance(segment, Words):
            pieces += [f"${' '.join(formula)}$"] if formula else []
            pieces.append(segment.what)
            formula = []
        elif isinstance(segment, Sign):
            rounded = segment.text == "=" and isinstance(following, Maths) and is_about(following)
            formula.append(r"\approx" if rounded else segment.text)
        else:
            formula.append(_product(segment))
    pieces += [f"${' '.join(formula)}$"] if formula else []
    return fact("worked.line", pieces=tuple(pieces))


def _product(maths: Maths) -> str:
    if maths.result and maths.ratios[0].top is not None:
        return _whole_amount(maths.ratios[0].top)
    strike = canceled_units(maths)
    shown = r" \times ".join(_ratio(ratio, place, strike) for place, ratio in enumerate(maths.ratios))
    return rf"\sqrt{{{shown}}}" if maths.root else shown


def _ratio(ratio: Ratio, place: int, strike: Mapping[tuple[int, str], frozenset[str]]) -> str:
    above, below = _numbers_and_units(ratio, place, strike)
    above = rf"\left({above}\right)" if place and above.startswith("-") else above
    return rf"\frac{{{above}}}{{{below}}}" if below else above


def _numbers_and_units(ratio: Ratio, place: int, strike: Mapping[tuple[int, str], frozenset[str]]) -> tuple[str, str]:
    top_struck = strike.get((place, "top"), frozenset())
    bottom_struck = strike.get((place, "bottom"), frozenset())
    above = below = ""
    if ratio.top is not None:
        above = _amount(ratio.top, 1, top_struck)
        below = _units(ratio.top.unit, -1, bottom_struck, one=True)
    if ratio.bottom is not None:
        below = _amount(ratio.bottom, 1, bottom_struck)
        over = _units(ratio.bottom.unit, -1, top_struck, one=True)
        above = above or over
    return above or "1", below


def _whole_amount(shown: Amount) -> str:
    """An amount with its unit in one line: 31.25 gtt/min."""
    number = shown.number.replace(",", "{,}")
    if not shown.unit.powers:
        return number
    unit = _escaped(write_unit(str(shown.unit), one=is_singular(shown.number)))
    return number + ("" if unit.startswith(r"\%") else r"\ ") + rf"\text{{{unit}}}"


def _amount(shown: Amount, sign: int, struck: frozenset[str]) -> str:
    number = rf"\text{{{_escaped(shown.number)}}}" if shown.is_words else shown.number.replace(",", "{,}")
    units = _units(shown.unit, sign, struck, one=is_singular(shown.number))
    return rf"{number}\ {units}" if units else number


def _units(unit: Unit, sign: int, struck: frozenset[str], one: bool) -> str:
    pieces = []
    for symbol, exponent in unit.powers:
        if exponent * sign <= 0:
            continue
        word = unit_table().word_of[symbol]
        shown = rf"\text{{{_escaped(singular(word) if one else plural(word))}}}"
        if abs(exponent) > 1:
            shown = f"{shown}^{{{abs(exponent)}}}"
        pieces.append(rf"\cancel{{{shown}}}" if symbol in struck else shown)
    return r"\cdot ".join(pieces)


def canceled_units(maths: Maths) -> dict[tuple[int, str], frozenset[str]]:
    """Return for each factor and side (“top”, “bottom”) the units that stand on the other side of the line as often."""
    above: list[tuple[int, str]] = []
    below: list[tuple[int, str]] = []
    for place, ratio in enumerate(maths.ratios):
        for shown, is_top in ((ratio.top, True), (ratio.bottom, False)):
            for symbol, exponent in shown.unit.powers if shown is not None else ():
                side = above if (exponent > 0) == is_top else below
                side.extend([(place, symbol)] * abs(exponent))
    many, few = Counter(s for _, s in above), Counter(s for _, s in below)
    struck: dict[tuple[int, str], set[str]] = {}
    for where, entries in (("top", above), ("bottom", below)):
        left = {symbol: min(many[symbol], few[symbol]) for symbol in many}
        for place, symbol in entries:
            whole = entries.count((place, symbol))
            if left.get(symbol, 0) >= whole and symbol not in struck.get((place, where), set()):
                left[symbol] -= whole
                struck.setdefault((place, where), set()).add(symbol)
    return {key: frozenset(symbols) for key, symbols in struck.items()}


def _escaped(text: str) -> str:
    return _ESCAPED.sub(r"\\\1", text)
