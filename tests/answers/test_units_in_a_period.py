"""The unit where the question names the time: “How many units is that in 24 h?”"""

from __future__ import annotations

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.units import unit_in_period
from calclib.items import draw_item
from calclib.models import item_model

ROWS = [
    ("38,640 units", "right"),
    ("38,640 units/day", "right"),
    ("38,640 units daily", "right"),
    ("38,640 units/h", "unit_wrong"),
    ("38,640 mg", "unit_wrong"),
]


@pytest.mark.parametrize(("typed", "verdict"), ROWS)
def test_the_time_that_a_question_names_may_be_said_or_left_out(typed: str, verdict: str) -> None:
    """An amount in 24 h is right with and without “a day”; another time or another amount is not."""
    given = {"bag": "25,000 units in 500 mL", "rate": "32.2 mL/h"}
    item = draw_item(item_model("heparin-day-total"), "period", given=given)
    found = next(v for v in judge_item(item, {"daily": typed}, marking_policy("homework")) if v.part == "daily")
    assert found.verdict == verdict


@pytest.mark.parametrize(
    ("words", "asked", "question", "status"),
    [
        ((("mg", 1),), "mg/day", "How many mg is that in 24 h?", "same"),
        ((("g", 1),), "mg/day", "How many mg is that in a day?", "other"),
        ((("mg", 1),), "mg/h", "How many mg in an hour can the patient get?", "same"),
        ((("mg", 1),), "mg/h", "How many mg in 24 h?", ""),
        ((("mL", 1),), "mL/h", "At what rate, in mL/h, do you set the pump?", ""),
        ((("mL", 1), ("h", -1)), "mL", "How many mL are left in the bag?", ""),
    ],
)
def test_a_rate_is_asked_with_its_time(
    words: tuple[tuple[str, int], ...], asked: str, question: str, status: str
) -> None:
    """Where the question does not name the time in its words, the unit has to hold it."""
    found = unit_in_period(words, asked, question, ())
    assert (found.status if found else "") == status
