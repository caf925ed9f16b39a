"""What a body takes: volumes by route, fluids by weight, and the weights that go with an age."""

from __future__ import annotations

import tomllib
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from importlib.resources import files
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
        return _typical_adult(self)

    def weight_for_age(self, age: Fraction) -> WeightForAge | None:
        """Return the weights that go with an age [day]; between two ages of the table in proportion.

        Returns:
            None past the end of the table.
        """
        rows = _ages(self.text)
        place = bisect_left(rows, age, key=lambda row: row[0])
        if place == len(rows) or age < rows[0][0]:
            return None
        (before, lighter), (after, heavier) = rows[max(place - 1, 0)], rows[max(place, 1)]
        part = (age - before) / (after - before)
        return WeightForAge(
            lighter.low + part * (heavier.low - lighter.low),
            lighter.high + part * (heavier.high - lighter.high),
            heavier.citation,
        )

    def ages_for(self, weight: Fraction, group: AgeGroup) -> tuple[str, ...]:
        """Return the ages with which a weight [kg] goes well, or the nearest; any age of an adult."""
        if group == AgeGroup.ADULT:
            return ADULT_AGES
        ranges = _usual_weights(self)
        fitting = tuple(age for age, (low, high) in ranges.items() if low <= weight <= high)
        if fitting:
            return fitting
        return (min((abs(weight * 2 - low - high), age) for age, (low, high) in ranges.items())[1],)

    def _limit(self, rows: str, **named: str) -> BodyLimit | None:
        return _limit(self, rows, tuple(named.items()))


# A draw asks for the same few again and again.
@lru_cache(maxsize=256)
def _limit(body: Body, rows: str, named: tuple[tuple[str, str], ...]) -> BodyLimit | None:
    for row in _data(body.text)[rows]:
        if all(row[name] == value for name, value in named):
            return BodyLimit(amount(row["most"]), _cited(row))
    return None


@lru_cache(maxsize=32)
def _typical_adult(body: Body) -> BodyLimit:
    row = _data(body.text)["typical_adult"]
    return BodyLimit(amount(row["weight"]), _cited(row))


@lru_cache(maxsize=32)
def _usual_weights(body: Body) -> Mapping[str, tuple[Fraction, Fraction]]:
    """By age, weights well inside those of nearly all, as a problem would have them."""
    usual = {}
    for age in CHILD_AGES:
        days = age_in_days(amount(age))
        found = None if days is None else body.weight_for_age(days)
        assert found is not None
        usual[age] = found.low * Fraction(6, 5), found.high * Fraction(3, 4)
    return usual


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
