"""What a wrong answer would mean at the bedside, said without the factor by which it is wrong."""

from __future__ import annotations

from fractions import Fraction

from calclib.items.item import ItemPart

MUCH, FAR = Fraction(2), Fraction(10)
STOP = "Stop, check the set-up, and ask a second nurse."
CHECK_CHOICE = "Work it out again and compare before you decide."
_TIMES = frozenset({"h", "min", "s"})
_RATES = frozenset({"mL/h", "gtt/min"})
_AMOUNTS = frozenset("mg g mcg units mEq mmol mL L tablet capsule vial dose tsp tbsp cup oz".split())


def consequence(part: ItemPart, ratio: Fraction | None) -> str:
    """Return how far off a number is, in two bands that give no factor away; "" where it is off by less than half.

    Args:
        part: The part that asks.
        ratio: The answer over the key, None where there is none.
    """
    if ratio is None or ratio <= 0 or 1 / MUCH < ratio < MUCH:
        return ""
    how = "far" if ratio >= FAR or ratio * FAR <= 1 else "much"
    over = ratio > 1
    if part.unit in _TIMES:
        return f"{how} too {'long' if over else 'short'}"
    if part.unit in _AMOUNTS:
        return f"{how} {'more' if over else 'less'} than it should be"
    if part.unit in _RATES:
        return f"{how} too {'fast' if over else 'slow'}"
    return f"{how} too {'high' if over else 'low'}"


def choice_sentence(part: ItemPart, choice: str) -> str:
    """Return what a wrong choice would mean.

    Args:
        part: The part, whose choices go from the least to the greatest.
        choice: The choice that was made.
    """
    if part.accepted_choice not in part.choices or choice not in part.choices:
        return ""
    made, right = part.choices.index(choice), part.choices.index(part.accepted_choice)
    if part.proceed is None:
        if made < right:
            return "That one is too small for what is needed."
        return "That one is larger than needed: take the smallest that is enough."
    if choice != part.proceed and part.accepted_choice != part.proceed:
        return "It is outside the limits, but on the other side."
    return part.missed
