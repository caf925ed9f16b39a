"""What a wrong answer would mean at the bedside, said without the factor by which it is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from calclib.items.item import ItemPart
from calclib.wording.facts import Fact, fact

MUCH, FAR = Fraction(2), Fraction(10)
STOP = fact("verdict.stop")
_TIMES = frozenset({"h", "min", "s"})
_RATES = frozenset({"mL/h", "gtt/min"})
_AMOUNTS = frozenset("mg g mcg units mEq mmol mL L tablet capsule vial dose tsp tbsp cup oz".split())


def consequence(part: ItemPart, ratio: Fraction | None) -> Fact | None:
    """Return how far off a number is, in two bands that give no factor away; None where it is off by less than half.

    Args:
        part: The part that asks.
        ratio: The answer over the key, None where there is none.
    """
    if ratio is None or ratio <= 0 or 1 / MUCH < ratio < MUCH:
        return None
    how = "far" if ratio >= FAR or ratio * FAR <= 1 else "much"
    return _FAR_OFF[how, _sense(part.unit), ratio > 1]


def _sense(unit: str) -> str:
    if unit in _TIMES:
        return "time"
    if unit in _AMOUNTS:
        return "amount"
    return "rate" if unit in _RATES else "number"


_FAR_OFF: Mapping[tuple[str, str, bool], Fact] = {
    ("far", "time", True): fact("consequence.far_too_long"),
    ("far", "time", False): fact("consequence.far_too_short"),
    ("much", "time", True): fact("consequence.much_too_long"),
    ("much", "time", False): fact("consequence.much_too_short"),
    ("far", "amount", True): fact("consequence.far_more"),
    ("far", "amount", False): fact("consequence.far_less"),
    ("much", "amount", True): fact("consequence.much_more"),
    ("much", "amount", False): fact("consequence.much_less"),
    ("far", "rate", True): fact("consequence.far_too_fast"),
    ("far", "rate", False): fact("consequence.far_too_slow"),
    ("much", "rate", True): fact("consequence.much_too_fast"),
    ("much", "rate", False): fact("consequence.much_too_slow"),
    ("far", "number", True): fact("consequence.far_too_high"),
    ("far", "number", False): fact("consequence.far_too_low"),
    ("much", "number", True): fact("consequence.much_too_high"),
    ("much", "number", False): fact("consequence.much_too_low"),
}


def _of_decision(part: ItemPart, choice: str) -> Fact:
    if choice != part.proceed and part.accepted_choice != part.proceed:
        return fact("verdict.other_act" if part.decides == "act" else "verdict.other_finding")
    if part.missed:
        return fact("verdict.missed", text=part.missed)
    return fact("verdict.sound_refused" if choice != part.proceed else "verdict.unsound_given")


def choice_fact(part: ItemPart, choice: str) -> Iterator[Fact]:
    """Yield what a wrong choice would mean, if anything is known of it.

    Args:
        part: The part, whose choices go from the least to the greatest.
        choice: The choice that was made.
    """
    if part.accepted_choice not in part.choices or choice not in part.choices:
        return
    made, right = part.choices.index(choice), part.choices.index(part.accepted_choice)
    if part.decides:
        yield _of_decision(part, choice)
    elif part.proceed is None:
        yield fact("verdict.size_too_small" if made < right else "verdict.size_too_large")
    elif choice != part.proceed and part.accepted_choice != part.proceed:
        yield fact("verdict.other_side")
    elif part.missed:
        yield fact("verdict.missed", text=part.missed)


def choose_again(part: ItemPart, critical: bool) -> Fact:
    """Return what to do next about a wrong choice: a decision was read, and not set up.

    Args:
        part: The part.
        critical: Whether the choice could harm.
    """
    if part.decides:
        return fact("verdict.stop_and_read" if critical else "verdict.read_again")
    return fact("verdict.stop_and_compare" if critical else "verdict.compare_again")
