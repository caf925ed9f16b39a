"""What a body takes: volumes by route, fluids by weight, and the weights that go with an age."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from calclib.formulary.amount import KG, Amount, age_in_days, amount
from calclib.formulary.records import AgeGroup, Citation, Route


@dataclass(frozen=True)
class BodyLimit:
    """The most that a body takes, with its source."""

    most: Amount
    citation: Citation


@dataclass(frozen=True)
class WeightForAge:
    """The weights between which nearly all of an age lie.

    Args:
        low: The least weight [kg].
        high: The greatest weight [kg].
        citation: Where it comes from.
    """

    low: Fraction
    high: Fraction
    citation: Citation


BODY = "what a body takes"
"""The name under which the text of body.toml is recorded beside the drugs of an item model."""


CHILD_AGES = (
    *(f"{months} months" for months in (2, 3, 4, 6, 9, 12, 15, 18)), *(f"{years} years" for years in range(2, 18)),
)  # fmt: skip
ADULT_AGES = tuple(f"{years} years" for years in range(19, 89))


@dataclass(frozen=True)
class Body:
    """What a body takes, as it ships or as it was recorded with a set.

    Args:
        text: The text of body.toml.
    """

    text: str

    def injected_volume(self, route: Route, group: AgeGroup) -> BodyLimit | None:
        """Return the most that one injection by a route takes [volume], None where no limit is known."""
        return self._limit("injected_volume", route=route, group=group)

    def fluid_a_day(self, group: AgeGroup) -> BodyLimit | None:
        """Return the most fluid of a day [volume/time, for a child volume/weight/time]."""
        return self._limit("fluid_a_day", group=group)

    def typical_adult(self) -> BodyLimit:
        """Return the weight of an adult whose weight an order leaves out."""
        row = _data(self.text)["typical_adult"]
        return BodyLimit(amount(row["weight"]), _cited(row))

    def weight_for_age(self, age: Fraction) -> WeightForAge | None:
        """Return the weights that go with an age [day]; between two ages of the table in proportion.

        Returns:
            None past the end of the table.
        """
        for (before, lighter), (after, heavier) in pairwise(_ages(self.text)):
            if before <= age <= after:
                part = (age - before) / (after - before)
                return WeightForAge(
                    lighter.low + part * (heavier.low - lighter.low),
                    lighter.high + part * (heavier.high - lighter.high),
                    heavier.citation,
                )
        return None

    def ages_for(self, weight: Fraction, group: AgeGroup) -> tuple[str, ...]:
        """Return the ages with which a weight [kg] goes well, or the nearest; any age of an adult."""
        if group == AgeGroup.ADULT:
            return ADULT_AGES
        ranges = {age: self._usual_weights(age) for age in CHILD_AGES}
        fitting = tuple(age for age, (low, high) in ranges.items() if low <= weight <= high)
        nearest = sorted((abs(weight * 2 - low - high), age) for age, (low, high) in ranges.items())
        return fitting or (nearest[0][1],)

    def _usual_weights(self, age: str) -> tuple[Fraction, Fraction]:
        """Weights well inside those of nearly all, as a problem would have them."""
        days = age_in_days(amount(age))
        found = None if days is None else self.weight_for_age(days)
        assert found is not None
        return found.low * Fraction(6, 5), found.high * Fraction(3, 4)

    def _limit(self, rows: str, **named: str) -> BodyLimit | None:
        for row in _data(self.text)[rows]:
            if all(row[name] == value for name, value in named.items()):
                return BodyLimit(amount(row["most"]), _cited(row))
        return None


@cache
def shipped_body() -> Body:
    """Return what a body takes as it ships."""
    return Body(files("calclib.formulary").joinpath("body.toml").read_text(encoding="utf-8"))


@lru_cache(maxsize=32)
def _data(text: str) -> Mapping[str, Any]:
    return tomllib.loads(text)


def _cited(row: Mapping[str, Any]) -> Citation:
    return Citation(row["source"], row.get("place", ""))


@lru_cache(maxsize=32)
def _ages(text: str) -> tuple[tuple[Fraction, WeightForAge], ...]:
    rows = []
    for row in _data(text)["weight_for_age"]:
        age, low, high = (amount(row[name]) for name in ("age", "from", "to"))
        in_days, least, most = age_in_days(age), low.in_unit(KG), high.in_unit(KG)
        assert in_days is not None and least is not None and most is not None
        rows.append((in_days, WeightForAge(least.value, most.value, _cited(row))))
    return tuple(rows)
