"""What simulated students type, in the cases that are easily got wrong."""

from __future__ import annotations

from decimal import Decimal

import pytest

from calclib.demo.students.worksheet import TimeOfDay
from calclib.demo.students.writing import time_of_day
from calclib.items import draw_item
from calclib.models import bank
from tests.demo.problems import questions
from tests.oracle.students import simulated_answers


@pytest.mark.parametrize(
    ("minutes", "text"),
    [("165", "0245"), ("1605", "0245 the next day"), ("3045", "0245 2 days later"), ("-15", "2345 the day before")],
)
def test_day_is_said(minutes: str, text: str) -> None:
    """A time on another day says which day."""
    assert time_of_day(TimeOfDay(Decimal(minutes)), None) == text


def test_count_misses_no_unit() -> None:
    """An answer that has no unit is never recorded as one whose unit is missing."""
    item = draw_item(bank()["bags-for-the-day"], "count")
    asked = questions(item)
    for n in range(150):
        bags = simulated_answers(f"student {n}", item.model_id, item.in_words, asked)[1]
        assert bags.part == "bags"
        assert bags.planted.error != "unit-missing"
