"""Every published worked example that formulas and units cover, against the digits that its source prints."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from calclib.quantity.registry import magnitude
from calclib.quantity.rounding import RoundingBand, RoundingRule
from calclib.sources.catalogue import sources
from tests.reference.published import at_printed_digits, clock_text, computed, rows, value

TOPICS = (
    "units",
    "doses",
    "infusions",
    "concentrations",
    "body_surface",
    "body_size",
    "maintenance_fluids",
    "patient_controlled",
    "reference_values",
)
ALL = [row for topic in TOPICS for row in rows(topic)]
NUMBERS = [row for row in ALL if row["formula"] not in ("within", "clock")]


def ids(row: dict[str, Any]) -> str:
    """Names a test by the row's id."""
    return str(row["id"])


@pytest.mark.parametrize("row", NUMBERS, ids=ids)
def test_our_number_at_the_printed_digits_is_the_printed_one(row: dict[str, Any]) -> None:
    """Rounded to the digits that the source prints, our number is the source's, or the row says why it is not."""
    exact = magnitude(computed(row), row["unit"], row["id"], row.get("kind"))

    actual = at_printed_digits(exact, row["printed"], row.get("mode", "nearest"), row.get("decimals"))

    if row.get("agrees", True):
        assert actual == Fraction(row["printed"])
    else:
        assert row["reason"]
        assert (actual, actual != Fraction(row["printed"])) == (Fraction(row["ours"]), True)


@pytest.mark.parametrize("row", [row for row in ALL if row["formula"] == "clock"], ids=ids)
def test_our_clock_shows_the_printed_time(row: dict[str, Any]) -> None:
    """A start and a duration lead to the time that the source prints."""
    assert clock_text(row) == row["printed"]


@pytest.mark.parametrize("row", [row for row in ALL if row["formula"] == "within"], ids=ids)
def test_an_ordered_dose_lies_in_the_printed_range(row: dict[str, Any]) -> None:
    """A dose is compared with the limits per dose, as the source does."""
    low, dose, high = (magnitude(value(row["given"][name]), "mg", name) for name in ("low", "dose", "high"))

    assert {True: "yes", False: "no"}[low <= dose <= high] == row["printed"]


@pytest.mark.parametrize("row", rows("rounding"), ids=ids)
def test_our_rounding_gives_the_printed_number(row: dict[str, Any]) -> None:
    """A printed rounding follows from the step and the way with ties that its source states."""
    step = Fraction(1, 10 ** row["decimals"])
    rule = RoundingRule("printed", "", (RoundingBand(None, step),), "nearest", row["tie"], row["source"])

    assert rule.rounded(Fraction(row["value"])) == Fraction(row["printed"])


def test_every_row_names_a_known_source_and_the_day_it_was_read() -> None:
    """No expected value stands without its source."""
    every = [*ALL, *rows("rounding")]

    assert [row["id"] for row in every if row["source"] not in sources() or "read" not in row] == []
    assert len({row["id"] for row in every}) == len(every)
