"""Given values copied wrongly: one digit changed, or two neighbors exchanged, found from the record of an item alone.

What a part comes to for ten times and a tenth of a value is recorded, as a slipped decimal point. Where that shows the
part to be A + B k, or A + B / k, for k times the value, the k of a typed number follows, and with it what was copied.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.items.item import ItemPart, StatedGiven
from calclib.items.recorded.fault_result import FaultResult
from calclib.quantity.amounts import parse_amount

MOST_READINGS = 4
DAY = 1440
TEN = Fraction(10)
_NUMERAL = re.compile(
    r"(?<![0-9/.,])[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?(?![0-9/])|(?<![0-9/.,])[0-9]+(?:\.[0-9]+)?(?![0-9/])"
)
_TIME = re.compile(r"[0-2][0-9][0-5][0-9](?: the .*)?")
_VALUE = re.compile(r"every |[0-9]")

Line = tuple[Fraction, Fraction, str]


def miscopied_values(
    part: ItemPart, value: Fraction, place: Fraction, givens: Sequence[StatedGiven]
) -> Iterator[tuple[StatedGiven, str, str]]:
    """Yield the givens that lead to a number if one digit is copied wrongly: given, numeral, and how it was copied.

    Args:
        part: The part that asks.
        value: The wrong number in the unit asked.
        place: What one of its last digit is worth, 0 if it was typed in full.
        givens: The givens as stated.
    """
    numbers = tuple(_numerals(givens))
    for fixed, slope, given in _lines(part):
        low, high = sorted(((value - place / 2 - fixed) / slope, (value + place / 2 - fixed) / slope))
        if low <= 0:
            continue
        for stated, numeral in sorted(numbers, key=lambda number: number[0].name != given) if given else numbers:
            for copied in (*_copies(numeral, low, high), *_copies(numeral, 1 / high, 1 / low)):
                yield stated, numeral, copied


def miscopied_times(
    part: ItemPart, minutes: int, givens: Sequence[StatedGiven]
) -> Iterator[tuple[StatedGiven, str, str]]:
    """Yield the givens that lead to a time of day if one digit is copied wrongly, a time of day or another value.

    Args:
        part: The part that asks for a time.
        minutes: The wrong time, in minutes after midnight.
        givens: The givens as stated.
    """
    if not isinstance(part.exact, Fraction) or part.key is None:
        return
    apart = minutes - int(part.key)
    for given in givens:
        if _TIME.fullmatch(given.text) and given.role != "distractor":
            stated = int(given.text[:2]) * 60 + int(given.text[2:4])
            for copied in (as_digits((stated + apart) % DAY), as_digits((stated - apart) % DAY)):
                if is_miscopied(given.text[:4], copied):
                    yield given, given.text[:4], copied
    exact = part.exact
    value = min((Fraction(minutes + DAY * day) for day in range(-1, 4)), key=lambda v: abs(v - exact))
    others = [given for given in givens if not _TIME.fullmatch(given.text)]
    yield from miscopied_values(part, value, Fraction(1), others)


def as_digits(minutes: int) -> str:
    """Return a time of day as the four digits of a clock."""
    return f"{minutes // 60:02}{minutes % 60:02}"


def _numerals(givens: Sequence[StatedGiven]) -> Iterator[tuple[StatedGiven, str]]:
    for given in givens:
        if given.role != "distractor" and _VALUE.match(given.text) and not _is_of_words(given):
            for numeral in _NUMERAL.findall(given.text):
                yield given, numeral.replace(",", "")


def _is_of_words(given: StatedGiven) -> bool:
    """Whether a column of a row is in words, such as “3 times daily”: no number of it is computed with."""
    if given.role != "column":
        return False
    try:
        for amount in given.text.split(" in "):
            parse_amount(amount)
    except BadInput:
        return True
    return False


def _lines(part: ItemPart) -> Iterator[Line]:
    """How the part changes with values: what stays, what is multiplied, and the given ("" if that is not known)."""
    exact = part.exact
    if not isinstance(exact, Fraction) or not exact:
        return
    if part.only_products:
        yield Fraction(0), exact, ""
        return
    slips: dict[tuple[str, str], list[FaultResult]] = {}
    for fault in part.faults:
        if fault.fault == "decimal slip" and fault.value is not None:
            slips.setdefault((fault.step, fault.given), []).append(fault)
    seen = set()
    for (step, given), faults in slips.items():
        values = [fault.value for fault in faults if fault.value is not None]
        for line in _through(exact, values):
            if line not in seen:
                seen.add(line)
                yield *line, given if not step else ""


def _through(exact: Fraction, slipped: Sequence[Fraction]) -> Iterator[tuple[Fraction, Fraction]]:
    """A and B of A + B k from the values for k = 10 and 1/10, whichever is which, or from the only one there is."""
    lines = [{_line(exact, value, TEN), _line(exact, value, 1 / TEN)} for value in slipped if value != exact]
    alike = [line for i, first in enumerate(lines) for second in lines[i + 1 :] for line in first & second]
    if alike or len(lines) != 1:
        yield from alike
    else:
        yield from lines[0]


def _line(exact: Fraction, value: Fraction, times: Fraction) -> tuple[Fraction, Fraction]:
    slope = (value - exact) / (times - 1)
    return exact - slope, slope


def _copies(numeral: str, low: Fraction, high: Fraction) -> Iterator[str]:
    """How a numeral may be copied wrongly so that it becomes between `low` and `high` times as large."""
    whole, _, decimals = numeral.partition(".")
    number = int(whole + decimals)
    first = -(-number * low.numerator // low.denominator)
    last = number * high.numerator // high.denominator
    if not 0 <= last - first < MOST_READINGS:
        return
    right = str(number).rjust(len(decimals) + 1, "0")
    for wrong in range(first, last + 1):
        copied = str(wrong).rjust(len(right), "0")
        if is_miscopied(right, copied):
            yield f"{copied[: -len(decimals)] or '0'}.{copied[-len(decimals) :]}" if decimals else copied


def as_printed(stem: str, givens: Sequence[StatedGiven]) -> tuple[StatedGiven, ...]:
    """Return the givens, and the other numbers of the stem as givens without a name.

    Args:
        stem: The stem.
        givens: The givens as stated.
    """
    rest = stem
    for given in givens:
        rest = rest.replace(given.text, " ")
    others = dict.fromkeys(_NUMERAL.findall(rest))
    return (*givens, *(StatedGiven("", numeral, "stated", "problem") for numeral in others if numeral != "1"))


def is_miscopied(right: str, copied: str) -> bool:
    """Tell whether digits differ from the right ones in one place, or two neighbors are exchanged."""
    if len(right) != len(copied):
        return False
    wrong = [i for i in range(len(right)) if right[i] != copied[i]]
    if len(wrong) == 2:
        first, second = wrong
        return second == first + 1 and right[first] + right[second] == copied[second] + copied[first]
    return len(wrong) == 1
