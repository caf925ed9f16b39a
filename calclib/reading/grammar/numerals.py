"""Digits to exact numbers: a point for decimals, commas (or single blanks) only before groups of three digits."""

from __future__ import annotations

import re
from fractions import Fraction

from calclib.reading.records import Unreadable
from calclib.wording.facts import fact

MOST_DIGITS = 15
LARGEST_POWER = 12

_PLAIN = re.compile(r"([0-9]*)(?:\.([0-9]+))?")
_GROUPED = re.compile(r"([1-9][0-9]{0,2}(?:,[0-9]{3})+)(?:\.([0-9]+))?")
_SPACED = re.compile(r"([1-9][0-9]{0,2}(?: [0-9]{3})+)(?:\.([0-9]+))?")
_SCIENTIFIC = re.compile(r"([0-9.,]+)[eE]([+-]?[0-9]+)")
_ONE_COMMA = re.compile(r"([0-9]*),([0-9]+)")


def _exact(whole: str, decimals: str, position: int) -> tuple[Fraction, int]:
    if len(whole) + len(decimals) > MOST_DIGITS:
        raise Unreadable(fact("unread.number_has_more_than_digits", digits=MOST_DIGITS), position)
    if decimals:
        return Fraction(int(whole + decimals), 10 ** len(decimals)), len(decimals)
    return Fraction(int(whole)), 0


def power_of_ten(exponent: int, position: int) -> Fraction:
    """10 to a small power; raises Unreadable beyond the bound."""
    if abs(exponent) > LARGEST_POWER:
        raise Unreadable(fact("unread.power_ten_too_large_answer"), position)
    return Fraction(10) ** exponent


def read_numeral(text: str, position: int, notices: list[str]) -> tuple[Fraction, int | None]:
    """The value of a number token and the digits typed after its point (None in powers of ten).

    Raises Unreadable where a comma or point could mean two things. Unsafe ways of writing are added to `notices`.
    """
    if text.isdigit():
        if len(text) > 3 and text[0] != "0":
            notices.append("no_comma")
        return _exact(text, "", position)
    if found := _PLAIN.fullmatch(text):
        whole, decimals = found.groups()
        if not whole:
            notices.append("no_leading_zero")
        elif len(whole) > 3 and whole[0] != "0":
            notices.append("no_comma")
        if decimals[-1] == "0":
            notices.append("trailing_zero" if not decimals.strip("0") else "extra_zero")
        return _exact(whole or "", decimals, position)
    if found := _GROUPED.fullmatch(text) or _SPACED.fullmatch(text):
        whole, decimals = found.group(1), found.group(2) or ""
        if " " in whole:
            if len(whole) == 7 and whole[3] == " " and not whole.endswith(" 000"):
                raise Unreadable(
                    fact("unread.blank_or_comma_in_number", whole=whole, with_comma=whole.replace(" ", ",")), position
                )
            notices.append("space_grouping")
        if decimals and decimals[-1] == "0":
            notices.append("trailing_zero" if not decimals.strip("0") else "extra_zero")
        return _exact(whole.replace(",", "").replace(" ", ""), decimals, position)
    if found := _SCIENTIFIC.fullmatch(text):
        value, _ = read_numeral(found.group(1), position, notices)
        return value * power_of_ten(int(found.group(2)), position), None
    if found := _ONE_COMMA.fullmatch(text):
        raise Unreadable(
            fact("unread.comma_for_point", text=text, whole=found.group(1) or "0", decimals=found.group(2)), position
        )
    raise Unreadable(fact("unread.commas_in_number", text=text), position)
