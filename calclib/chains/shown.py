"""What a line of a worked solution is made of: amounts, factors as fractions, signs and words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.factors import Factor, Value
from calclib.quantity.enclosure import Enclosure, Exact
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import is_singular, write_number, write_unit
from calclib.wording.facts import Fact, fact

# Numbers with more decimals than a display of a calculator are shown rounded, with five digits unless more are needed.
MOST_DECIMALS = 6
SHOWN_DIGITS = 5
MOST_PLACES = 15
THIRDS = 3
MOST_UNITS = 3
"""A constant with more units belongs to a formula that is taught with bare numbers."""

NO_UNIT = Unit(())
GAP = "[?]"


@dataclass(frozen=True)
class Amount:
    """A number with a unit, or words in its place.

    Args:
        number: The number in safe notation, or words such as “ordered dose”.
        unit: Its unit.
        about: Whether the number is shown rounded.
        is_words: Whether words stand for the number.
    """

    number: str
    unit: Unit = NO_UNIT
    about: bool = False
    is_words: bool = False


@dataclass(frozen=True)
class Ratio:
    """One factor: an amount, or a fraction of two amounts; `top` is None where the factor only divides."""

    name: str
    top: Amount | None
    bottom: Amount | None = None


@dataclass(frozen=True)
class Words:
    """Words in a line.

    Args:
        what: What is said there; a text is a phrase of the item model, or a sign.
    """

    what: Fact | str


@dataclass(frozen=True)
class Sign:
    """One of = + - and the like."""

    text: str


@dataclass(frozen=True)
class Maths:
    """A product of factors.

    Args:
        ratios: The factors.
        root: Whether it stands under a square root.
        result: Whether it is what a line comes to; only then is a rounded number called “about”.
    """

    ratios: tuple[Ratio, ...]
    root: bool = False
    result: bool = False


Segment = Words | Sign | Maths
Line = tuple[Segment, ...]
EQUALS, PLUS, MINUS = Sign("="), Sign("+"), Sign("-")


def amount(value: Exact, unit: Unit, rule: RoundingRule | None = None) -> Amount:
    """Return a value as it is shown; a long or endless number is rounded so that a rule still decides as before.

    Args:
        value: The exact value.
        unit: Its unit.
        rule: The rule by which it is rounded next.
    """
    if isinstance(value, Fraction) and 10**MOST_DECIMALS % value.denominator == 0:
        return Amount(write_number(value), unit)
    middle = value.middle if isinstance(value, Enclosure) else value
    places = _places(middle)
    if rule is not None and any(band.step for band in rule.bands):
        right = rule.rounded(value)
        while places < MOST_PLACES and rule.rounded(_rounded(middle, places)) != right:
            places += 1
    return Amount(write_number(middle, places), unit, about=True)


def stated_amount(value: Exact, unit: Unit) -> Amount:
    """Return a number of the problem as it is shown: thirds stay thirds, as 0.33333 is not what it states."""
    if isinstance(value, Fraction) and value.denominator == THIRDS:
        return Amount(str(value), unit)
    return amount(value, unit)


def _places(value: Fraction) -> int:
    """Decimals that show the first digits of a number, and at least one where it is below 10,000."""
    places = SHOWN_DIGITS - len(str(int(abs(value)))) if abs(value) >= 1 else SHOWN_DIGITS
    while value and abs(value) * 10**places < 10 ** (SHOWN_DIGITS - 1) and abs(value) < 1 and places < MOST_PLACES:
        places += 1
    return max(0, places)


def _rounded(value: Fraction, places: int) -> Fraction:
    return Fraction((value * 10**places + Fraction(1, 2)).__floor__(), 10**places)


def amount_text(shown: Amount) -> str:
    """Return an amount as plain text: “31.25 gtt/min”."""
    if not shown.unit.powers:
        return shown.number
    unit = str(shown.unit)
    if unit.startswith("1/"):
        return shown.number + write_unit(unit)[1:]
    space = "" if unit.startswith("%") else " "
    return f"{shown.number}{space}{write_unit(unit, one=is_singular(shown.number))}"


def result(value: Value, unit: Unit, rule: RoundingRule | None = None) -> Maths:
    """Return a value that stands alone after an equals sign."""
    assert not isinstance(value, str)
    return Maths((Ratio("", amount(value, unit, rule)),), result=True)


def term(value: Value, unit: Unit) -> Maths:
    """Return a value that stands alone as a term of a sum or in a comparison."""
    return replace(result(value, unit), result=False)


@dataclass(frozen=True)
class Showing:
    """How factors are shown.

    Args:
        chain: The chain.
        values: Values by name.
        in_words: Names that are shown by their words instead of their numbers.
        gap: The factor that is left open, by the name of a value, a mixture or an equivalence ("" for none).
    """

    chain: Chain
    values: Mapping[str, Value]
    in_words: frozenset[str] = frozenset()
    gap: str = ""

    def says(self, name: str) -> str:
        """Return the words for a value."""
        says: Mapping[str, str] = self.chain.names.says
        return says.get(name, name.replace("_", " "))

    def product(self, factors: Sequence[Factor], root: bool = False) -> Maths:
        """Return a product: what multiplies in the order of the factors, then what only divides."""
        bare = any(self._is_plain(f) and len(self.chain.unit(f.name).powers) > MOST_UNITS for f in factors)
        ratios = [r for r in self._ratios(factors, root) if not (bare and self._is_unnamed_one(r))]
        if bare:
            ratios = [_bare(r) for r in ratios]
        tops = [r for r in ratios if r.top is not None]
        bottoms = [r for r in ratios if r.top is None]
        self._attach_ones(tops, bottoms)
        return Maths((*tops, *bottoms), root)

    def one(self, name: str) -> Maths:
        """Return a single value."""
        return self.product((Factor(name, 1),))

    def _is_plain(self, factor: Factor) -> bool:
        return factor.number is None and not factor.is_equivalence and factor.name not in self.in_words

    def _is_unnamed_one(self, ratio: Ratio) -> bool:
        """Whether a factor is a plain 1 that nobody would name, such as 1 dose."""
        shown = ratio.top or ratio.bottom
        alone = ratio.top is None or ratio.bottom is None
        return alone and shown is not None and shown.number == "1" and ratio.name != "" and not self.says(ratio.name)

    def _attach_ones(self, tops: list[Ratio], bottoms: list[Ratio]) -> None:
        """Write a 1 that nobody would name with its neighbor: 275 mg/1 dose, 5 doses, 1 dose/3.2 mL."""
        for one in [r for r in bottoms if self._is_unnamed_one(r)]:
            in_words = any(r.top is not None and r.top.is_words for r in tops)
            place = next((i for i, r in enumerate(tops) if _stands_alone(r)), None)
            if place is not None and not in_words:
                tops[place] = replace(tops[place], bottom=one.bottom)
            if place is not None or in_words:
                bottoms.remove(one)
        for one in [r for r in tops if self._is_unnamed_one(r)]:
            place = next((i for i, r in enumerate(tops) if _stands_alone(r) and _is_number(r)), None)
            count = None if place is None else tops[place].top
            if place is not None and count is not None and one.top is not None:
                tops[place] = replace(tops[place], top=replace(count, unit=one.top.unit))
                tops.remove(one)
            elif bottoms:
                tops[tops.index(one)] = replace(one, bottom=bottoms.pop(0).bottom)

    def _ratios(self, factors: Sequence[Factor], root: bool) -> Iterable[Ratio]:
        done: set[str] = set()
        for factor in factors:
            if factor.group in done or factor.name in done:
                continue
            ratio, used = self._ratio(factor, factors, root)
            done.update(used)
            names = {factor.name, factor.group, factor.equivalence, factor.name.partition(".")[0], *used}
            if self.gap and self.gap in names:
                ratio = Ratio(ratio.name, Amount(GAP, is_words=True))
            yield from (ratio,) * (1 if factor.group else abs(factor.exponent))

    def _ratio(self, factor: Factor, factors: Sequence[Factor], root: bool) -> tuple[Ratio, set[str]]:
        """A factor as a fraction, and the names of the factors that it covers."""
        if factor.number is not None:
            shown = amount(factor.number, NO_UNIT)
            return _turned("", shown, factor.exponent), set()
        if factor.is_equivalence:
            return self._equivalence(factor), set()
        if factor.group:
            return self._mixture(factor.group, factors), {factor.group}
        if factor.name in self.in_words:
            return _turned(factor.name, Amount(self.says(factor.name), is_words=True), factor.exponent), set()
        value, unit = self.values[factor.name], self.chain.unit(factor.name)
        assert not isinstance(value, str)
        if unit == _PERCENT:
            return self._percent(factor, value, factors)
        if root and len(unit.powers) > 2:
            unit = NO_UNIT
        shown = amount(value, unit) if factor.name in self.chain.by_name else stated_amount(value, unit)
        below = _part(unit, -1)
        if factor.exponent < 0 and shown.about and below.powers and _is_whole(1 / value):
            return Ratio(factor.name, amount(1 / value, below), Amount("1", _part(unit, 1))), set()
        if (inverted := _one_percent(factor, value, unit)) is not None:
            return inverted, set()
        return _value_ratio(factor.name, shown, factor.exponent), set()

    def _equivalence(self, factor: Factor) -> Ratio:
        eq = equivalences()[factor.equivalence]
        value = self.values[factor.name]
        assert isinstance(value, Fraction)
        of, per = _part(eq.unit, 1), _part(eq.unit, -1)
        many, one = amount(value, of), Amount("1", per)
        if many.about and not (inverse := amount(1 / value, per)).about:
            many, one = Amount("1", of), inverse
        return Ratio(factor.name, many, one) if factor.exponent > 0 else Ratio(factor.name, one, many)

    def _mixture(self, group: str, factors: Sequence[Factor]) -> Ratio:
        """A strength's amount over its volume, or the reverse; one of them alone where a fault leaves out the other."""
        top: Amount | None = None
        bottom: Amount | None = None
        for factor in factors:
            if factor.group == group:
                value = self.values[factor.name]
                assert not isinstance(value, str)
                shown = amount(value, self.chain.unit(factor.name))
                top, bottom = (shown, bottom) if factor.exponent > 0 else (top, shown)
        return Ratio(group, top, bottom)

    def _percent(self, factor: Factor, value: Exact, factors: Sequence[Factor]) -> tuple[Ratio, set[str]]:
        """“5%” as 5 g/100 mL, together with the factor that says what percent means."""
        for other in factors:
            unit = None if other.number is not None or other.is_equivalence else self.chain.unit(other.name)
            if unit is not None and ("%", -1) in unit.powers and other.exponent == factor.exponent:
                meaning = self.values[other.name]
                assert isinstance(meaning, Fraction)
                per = unit * _PERCENT
                above = amount(value * meaning.numerator, _part(per, 1))
                below = amount(Fraction(meaning.denominator), _part(per, -1))
                ratio = Ratio(factor.name, above, below)
                return (ratio if factor.exponent > 0 else Ratio(factor.name, below, above)), {other.name, factor.name}
        return _value_ratio(factor.name, amount(value, _PERCENT), factor.exponent), set()


_PERCENT = parse_unit("%")


def _one_percent(factor: Factor, value: Exact, unit: Unit) -> Ratio | None:
    """What makes a percent: 1% for each 10 mg/mL."""
    sign = next((e for symbol, e in unit.powers if symbol == "%"), 0)
    if len(unit.powers) != MOST_UNITS or sign * factor.exponent != 1 or not isinstance(value, Fraction):
        return None
    for_one = value if sign < 0 else 1 / value
    below = unit if sign < 0 else Unit.of([(symbol, -e) for symbol, e in unit.powers])
    return Ratio(factor.name, Amount("1", _PERCENT), amount(for_one, below * _PERCENT))


def _bare(ratio: Ratio) -> Ratio:
    """A factor without its units; 1 dL/1.1 mg only divides by 1.1."""
    top = None if ratio.top is None or (ratio.bottom is not None and ratio.top.number == "1") else ratio.top
    top, bottom = (None if one is None else replace(one, unit=NO_UNIT) for one in (top, ratio.bottom))
    return Ratio(ratio.name, top, bottom)


def _stands_alone(ratio: Ratio) -> bool:
    """Whether a factor is an amount with no unit below the line, such as 275 mg."""
    top = ratio.top
    return top is not None and not top.is_words and ratio.bottom is None and all(e > 0 for _, e in top.unit.powers)


def _is_number(ratio: Ratio) -> bool:
    return ratio.top is not None and not ratio.top.unit.powers


def _is_whole(value: Exact) -> bool:
    return isinstance(value, Fraction) and value.denominator == 1


@lru_cache(maxsize=1024)
def _part(unit: Unit, sign: int) -> Unit:
    """The units above the fraction line (1) or below it (-1), with positive exponents."""
    return Unit(tuple((symbol, abs(e)) for symbol, e in unit.powers if e * sign > 0))


def _turned(name: str, shown: Amount, exponent: int) -> Ratio:
    return Ratio(name, shown) if exponent > 0 else Ratio(name, None, shown)


def _value_ratio(name: str, shown: Amount, exponent: int) -> Ratio:
    """A value as a factor; one such as 25 mg/tablet that divides is turned to 1 tablet/25 mg."""
    if exponent > 0:
        return Ratio(name, shown)
    above, below = _part(shown.unit, 1), _part(shown.unit, -1)
    if len(below.powers) == 1 and len(above.powers) == 1:
        return Ratio(name, Amount("1", below), replace(shown, unit=above))
    return Ratio(name, None, shown)


def line_fact(line: Line) -> Fact:
    """Return a line as what is told: its signs and numbers as text, its words by their kind."""
    pieces: list[Fact | str] = []
    for piece in map(_piece, line):
        if isinstance(piece, str) and pieces and isinstance(pieces[-1], str):
            pieces[-1] = f"{pieces[-1]} {piece}"
        else:
            pieces.append(piece)
    return fact("worked.line", pieces=tuple(pieces))


def _divisor(shown: Amount) -> str:
    text = amount_text(shown)
    return f"({text})" if "/" in text else text


def _piece(segment: Segment) -> Fact | str:
    if isinstance(segment, Words):
        return segment.what
    if isinstance(segment, Sign):
        return segment.text
    product = product_text(segment)
    if segment.root:
        return fact("worked.square_root", product=product)
    return fact("worked.about", amount=product) if is_about(segment) else product


def product_text(maths: Maths) -> str:
    """Return a product as plain text: “1,000 mL x 15 gtt/mL / 8 h”."""
    text = ""
    for ratio in maths.ratios:
        if ratio.top is None:
            assert ratio.bottom is not None
            text = f"{text or '1'} / {_divisor(ratio.bottom)}"
        else:
            factor = amount_text(ratio.top) + (f"/{_divisor(ratio.bottom)}" if ratio.bottom else "")
            factor = f"({factor})" if text and factor.startswith("-") else factor
            text = f"{text} x {factor}" if text else factor
    return text


def unsigned(maths: Maths) -> Maths:
    """Return a product without the signs of its factors, where a minus stands before it."""
    return replace(
        maths, ratios=tuple(replace(r, top=_positive(r.top), bottom=_positive(r.bottom)) for r in maths.ratios)
    )


def _positive(shown: Amount | None) -> Amount | None:
    return None if shown is None else replace(shown, number=shown.number.removeprefix("-"))


def is_about(maths: Maths) -> bool:
    """Tell whether it is what a line comes to, and shown rounded."""
    return maths.result and maths.ratios[0].top is not None and maths.ratios[0].top.about
