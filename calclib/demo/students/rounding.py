"""A printed rounding rule, as a student reads it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, number, to_step

WORDS = {"whole": Decimal(1), "half": Decimal("0.5"), "quarter": Decimal("0.25"), "tenth": Decimal("0.1"),
         "hundredth": Decimal("0.01"), "thousandth": Decimal("0.001")}  # fmt: skip


@dataclass(frozen=True)
class Place:
    """One place to round to: its step, and the value below which it counts (None: any)."""

    below: Decimal | None
    step: Decimal
    way: str


@dataclass(frozen=True)
class Rule:
    """A rounding rule: its places from small to large values, and where an exact half goes."""

    places: tuple[Place, ...]
    tie: str = "up"

    def place(self, value: Decimal) -> Place:
        """Return the place that counts for a value."""
        return next(place for place in self.places if place.below is None or value < place.below)

    def rounded(self, value: Decimal) -> Decimal:
        """Return a value rounded as the rule says."""
        place = self.place(value)
        return to_step(value, place.step, place.way, self.tie)


def rule_read(text: str) -> Rule:
    """Return the rule that a sentence such as “Round to the nearest tenth of a mL (0.1 mL).” states.

    Raises:
        NotUnderstoodError: The sentence says nothing about rounding that a student knows.
    """
    tie = "even" if "half way goes to the even" in text else "stays" if "exact half stays" in text else "up"
    places = []
    for clause in text.split(";"):
        limit = re.search(rf"[Bb]elow {NUMBER}", clause)
        rest = clause[limit.end() :] if limit else clause
        places.append(Place(number(limit[1]) if limit else None, _step(rest), _way(rest)))
    if places[-1].below is not None:
        raise NotUnderstoodError(f"{text!r} does not say how to round large values")
    return Rule(tuple(places), tie)


def _way(clause: str) -> str:
    lower = clause.lower()
    if "round down" in lower or "cut off after" in lower:
        return "down"
    return "up" if "round up" in lower else "nearest"


def _step(clause: str) -> Decimal:
    if re.search(r"not round", clause):
        return Decimal(0)
    printed = re.search(rf"\({NUMBER}", clause) or re.search(rf"(?:nearest|next|to a|steps of) {NUMBER}", clause)
    if printed:
        return number(printed[1])
    for word, step in WORDS.items():
        if word in clause:
            return step
    raise NotUnderstoodError(f"{clause!r} names no place to round to")
