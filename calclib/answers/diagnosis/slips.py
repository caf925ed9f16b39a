"""Slips of the finger: how the right answer becomes another number as it is typed."""

from __future__ import annotations

from fractions import Fraction

from calclib.answers.diagnosis.certainty import digits
from calclib.answers.verdict import Cause
from calclib.items.item import ItemPart
from calclib.wording.facts import Fact, fact

FEWEST = 2


def slip_of_finger(part: ItemPart, value: Fraction, decimals: int | None = None) -> Cause | None:
    """Return the slip that turns the right answer into a number: one digit wrong, two exchanged, one lost or doubled.

    Args:
        part: The part.
        value: The number in the unit asked.
        decimals: Digits typed after the point, by which the value before rounding is looked at too; None for none.
    """
    assert part.key is not None
    typed = digits(value)
    rights = [digits(part.key)]
    if decimals is not None and isinstance(part.exact, Fraction):
        scaled = part.exact * 10**decimals
        rights.append(digits((scaled + Fraction(1, 2)).__floor__() / Fraction(10**decimals)))
    for right in dict.fromkeys(rights):
        if not right or not typed or _figures(right) == _figures(typed):
            continue
        if (found := _slip_within(*_aligned(right, typed)) or _slip_of_length(right, typed)) is not None:
            return found
    return None


def one_figure(part: ItemPart) -> bool:
    """Tell whether the key is one digit and zeros: then nearly every other number of its length is a slip."""
    assert part.key is not None
    return len(_figures(digits(part.key))) < FEWEST


def rounded_too_far(part: ItemPart, value: Fraction) -> bool:
    """Tell whether a number is the exact value rounded to the next coarser place, and too far off to be let pass.

    Args:
        part: The part.
        value: The number in the unit asked.
    """
    if part.rule is None or not isinstance(part.exact, Fraction):
        return False
    place = part.rule.step_at(part.exact) * 10
    return bool(place) and value == (part.exact / place + Fraction(1, 2)).__floor__() * place


def _figures(numeral: str) -> str:
    return numeral.replace(".", "").strip("0")


def _aligned(first: str, second: str) -> tuple[str, str]:
    """Two numerals with their points one below the other: 10.5 and 10 are 10.5 and 10.0."""
    wholes, parts = zip(*((w, p) for w, _, p in (first.partition("."), second.partition("."))), strict=True)
    before, after = max(map(len, wholes)), max(map(len, parts))
    return tuple(w.rjust(before, "0") + p.ljust(after, "0") for w, p in zip(wholes, parts, strict=True))


def _slip_within(key: str, typed: str) -> Cause | None:
    wrong = [i for i in range(len(key)) if key[i] != typed[i]]
    if len(wrong) == 1:
        return _slip(fact("mistake.digit_differs"))
    if len(wrong) == FEWEST and wrong[1] == wrong[0] + 1:
        first, second = wrong
        if key[first] + key[second] == typed[second] + typed[first]:
            return _slip(fact("mistake.digits_exchanged"))
    return None


def _slip_of_length(key: str, typed: str) -> Cause | None:
    """One digit lost, or one typed twice; a zero at an end is a slip of the point."""
    longer, shorter = (key, typed) if len(key) > len(typed) else (typed, key)
    if len(longer) != len(shorter) + 1 or len(shorter.replace(".", "")) < FEWEST:
        return None
    for i, digit in enumerate(longer):
        if digit == "." or longer[:i] + longer[i + 1 :] != shorter:
            continue
        doubled = i > 0 and longer[i - 1] == digit
        if longer is key or (doubled and digit != "0"):
            return _slip(fact("mistake.digit_lost_or_doubled"))
    return None


def _slip(what: Fact) -> Cause:
    return Cause("slip of the finger", "", "", False, what)
