"""Numbers and quantities written the safe way that the course teaches.

A zero before the decimal point and none at the end, commas from 1,000 up, `mcg` and never the micro sign, `units` in
full, a space between number and unit (ISMP list of error-prone abbreviations, key `ismp_abbreviations_2021`; Joint
Commission, key `joint_commission_do_not_use_2017`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import cache

from calclib.errors.messages import BadInput
from calclib.quantity.equivalences import Equivalence
from calclib.quantity.units import unit_table
from calclib.wording.facts import fact

LONGEST_NUMBER = 40
LONGEST_UNIT = 60

_DECIMAL = re.compile(r"(-?)(\d{1,3}(?:,\d{3})+|\d+)(?:\.(\d+))?", re.ASCII)
_FRACTION = re.compile(r"(-?\d+)/(\d+)", re.ASCII)


def write_number(x: Fraction | int, decimals: int | None = None) -> str:
    """A number in safe notation: "0.5", "1,250", never ".5" or "5.0".

    Args:
        x: The number.
        decimals: Digits after the point to which it is rounded for writing (half away from zero); needed where it has
            no finite decimals.

    Raises:
        BadInput: if `decimals` is not given and the number has no finite decimals.
    """
    if isinstance(x, int):
        x = Fraction(x)
    places = decimals_of(x) if decimals is None else decimals
    whole, rest = divmod(abs(x.numerator) * 10**places, x.denominator)
    if 2 * rest >= x.denominator:
        whole += 1
    digits = str(whole).rjust(places + 1, "0")
    before, after = digits[: len(digits) - places], digits[len(digits) - places :].rstrip("0")
    sign = "-" if x.numerator < 0 and whole else ""
    return f"{sign}{int(before):,}" + (f".{after}" if after else "")


def points_text(points: Fraction) -> str:
    """Points of a mark with two decimals at the most: "2", "1.5", "0.33"."""
    return write_number(points, 2)


def percent_text(percent: Fraction) -> str:
    """A score [%] with one decimal at the most, never rounded up: 89.96 doesn't look like 90."""
    return f"{write_number(Fraction((percent * 10).__floor__(), 10))}%"


def decimals_of(x: Fraction) -> int:
    """Digits after the point that writing the number in full takes.

    Raises:
        BadInput: if no finite number of digits is enough.
    """
    rest, twos, fives = x.denominator, 0, 0
    while rest % 2 == 0:
        rest, twos = rest // 2, twos + 1
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    if rest != 1:
        raise BadInput(fact("errors_quantity.no_finite_decimals", number=str(x)))
    return max(twos, fives)


def has_finite_decimals(x: Fraction) -> bool:
    """Whether the number can be written in full with digits after the point."""
    rest = x.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return rest == 1


def write_quantity(x: Fraction | int, unit: str, decimals: int | None = None) -> str:
    """A number with its unit: "125 mL/h", "5,000 units", "1 tablet", "0.9%".

    Args:
        x: The number.
        unit: Unit words as the library writes them ("mcg/kg/min", "tab"), "" for none.
        decimals: As for `write_number`.

    Raises:
        BadInput: as `write_number`.
    """
    number = write_number(x, decimals)
    if not unit:
        return number
    space = "" if unit.startswith("%") else " "
    return f"{number}{space}{write_unit(unit, one=is_singular(number))}"


def is_singular(number: str) -> bool:
    """Whether a written number takes a singular unit: 1, and parts of one such as 0.5, 2/3 and 1,000/1,001."""
    top, slash, below = number.lstrip("-").replace(",", "").partition("/")
    return int(top) < int(below) if slash else top == "1" or top.startswith("0.")


@cache
def write_unit(unit: str, one: bool = False) -> str:
    """Unit words for people: "tab" becomes "tablets", "mg/tab" "mg/tablet"; symbols stay.

    Args:
        unit: Unit words, such as "mcg/kg/min".
        one: Singular before the first slash; after it a unit is always singular.

    Raises:
        BadInput: if the text is too long to be a unit.
    """
    if len(unit) > LONGEST_UNIT:
        raise BadInput(fact("errors_quantity.letters_of_unit", most=LONGEST_UNIT, unit=unit[:20]))
    first, *others = unit.split("/")
    return "/".join([singular(first) if one else plural(first), *(singular(other) for other in others)])


@cache
def singular(unit: str) -> str:
    """The unit as it stands after "a" or "per": "tablet", "unit", "mL/h"."""
    return "/".join(_names().get(word, (word, word))[0] for word in unit.split("/"))


@cache
def plural(unit: str) -> str:
    """The unit as it stands after a number above 1: "tablets", "units", "mL/h"."""
    first, *others = unit.split("/")
    return "/".join([_names().get(first, (first, first))[1], *(singular(other) for other in others)])


@cache
def _names() -> Mapping[str, tuple[str, str]]:
    """One and many of every unit symbol and unit word: tab and tablet are "tablet", "tablets"."""
    table = unit_table()
    names: dict[str, tuple[str, str]] = {}
    for symbol, word in table.word_of.items():
        many = table.plural_of.get(symbol, word)
        one = table.singular_of.get(symbol, many.removesuffix("s") if symbol in table.plural_of else word)
        names[symbol] = names[word] = (one, many)
    return names


def read_number(text: str) -> Fraction:
    """A number that an author wrote: "0.5", "1,250.5", "1/3", "-2".

    Raises:
        BadInput: for anything else; names the text and what is wrong with it.
    """
    stripped = text.strip()
    if len(stripped) > LONGEST_NUMBER:
        raise BadInput(fact("errors_quantity.number_too_long", most=LONGEST_NUMBER, length=len(stripped)))
    if match := _DECIMAL.fullmatch(stripped):
        sign, whole, after = match.groups()
        number = Fraction(int(whole.replace(",", "") + (after or "")), 10 ** len(after or ""))
        return -number if sign else number
    if match := _FRACTION.fullmatch(stripped):
        numerator, denominator = int(match[1]), int(match[2])
        if denominator == 0:
            raise BadInput(fact("errors_quantity.divides_by_zero", text=stripped))
        return Fraction(numerator, denominator)
    raise BadInput(fact("errors_quantity.no_number", text=stripped))


def conversion_words(eq: Equivalence) -> str:
    """Return an equivalence as it is taught: “1 h = 60 min”."""
    decimals = None if has_finite_decimals(eq.value) else 5
    return f"{write_quantity(1, eq.per)} = {write_quantity(eq.value, eq.of, decimals)}"
