"""What single students are allowed: read from the roster, each kind apart, for all sets or for one."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest

from calclib.class_files.accommodations import accommodations_text, read_accommodations
from calclib.errors import BadInput

OWN = dt.datetime(2030, 12, 9, 16, 0, tzinfo=dt.UTC)


def test_what_is_said_of_an_attempt_goes_over_the_set_and_that_over_all() -> None:
    """Working time and due times are separate, and what isn't said again stays."""
    text = "extra_minutes=60; working_time=1.5; exam-1: extra_minutes=120; exam-1/2: due=2030-12-09T10:00:00-06:00"
    found = read_accommodations(text, "roster.csv", 2)

    assert found.in_set("quiz", 1).extra_minutes == 60
    assert found.in_set("exam-1", 1).extra_minutes == 120
    assert found.in_set("exam-1", 1).due is None
    assert found.in_set("exam-1", 2).due == OWN
    of_the_set = read_accommodations("exam-1: due=2030-12-09T10:00:00-06:00", "roster.csv", 2)
    assert [of_the_set.in_set("exam-1", attempt).due for attempt in (1, 2)] == [OWN, None]
    assert {found.in_set(name, 2).working_time for name in ("quiz", "exam-1")} == {Fraction(3, 2)}


@pytest.mark.parametrize(
    "text",
    [
        "",
        "extra_attempts=1; extra_minutes=2880",
        "working_time=1.25; breaks=10 minutes each hour; format=large print, gray paper",
        "exam-1: due=2030-12-09T10:00:00-06:00; exam-1/2: extra_minutes=0",
    ],
)
def test_what_is_written_is_read_back(text: str) -> None:
    """Starting a class again with its own roster changes nothing."""
    found = read_accommodations(text, "roster.csv", 2)

    assert accommodations_text(found) == text
    assert read_accommodations(accommodations_text(found), "roster.csv", 2) == found


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("due=2030-12-09T10:00:00-06:00", "holds for one set"),
        ("exam-1: due=2030-12-09T10:00:00", "with its UTC offset"),
        ("exam-1: due=Monday", "with its UTC offset"),
        ("exam-1/2: extra_attempts=1", "of a whole set"),
        ("working_time=0.5", "from 1 to 10"),
        ("working_time=much", "from 1 to 10"),
        ("working_time=1/3", "from 1 to 10"),
        ("format=", "printable characters"),
        ("format=large print because of dyslexia", "only what the student needs"),
        ("breaks=ADHD", "only what the student needs"),
        ("exam 1: extra_minutes=5", "isn't known"),
        ("exam-1/2: minutes=5", "isn't known"),
        ("exam-1: extra_minutes=5; exam-1: extra_minutes=6", "twice"),
    ],
)
def test_what_is_wrong_gets_one_sentence(text: str, words: str) -> None:
    """With the line, and how to mend it; a diagnosis is refused."""
    with pytest.raises(BadInput) as caught:
        read_accommodations(text, "roster.csv", 7)
    assert caught.value.line == 7
    assert words in caught.value.message
    assert "\n" not in str(caught.value)
