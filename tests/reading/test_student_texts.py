from __future__ import annotations

import time
import tomllib
from pathlib import Path
from typing import Any

import pytest

from calclib.reading import Blank, Reading, Unread, read_answer

TEXTS: dict[str, Any] = tomllib.loads(Path(__file__).with_name("student_texts.toml").read_text(encoding="utf-8"))
LABELS: list[dict[str, str]] = TEXTS["choice"]["labels"]
CHOICES = [(text, expected, index) for index, rows in enumerate(TEXTS["choice"]["read"]) for text, expected in rows]


def holds(reading: Reading | Unread | Blank, expected: str) -> None:
    """The reading is the one decided; a text that isn't read gives the decided reason and a place in it."""
    match reading:
        case Blank():
            assert expected == ""
        case Unread(text=text, reason=reason, position=position):
            assert expected
            assert expected in reason
            assert 0 <= position <= len(text)
        case Reading(clock=(minutes, days)):
            said = "" if days is None else f" {days:+d}"
            assert f"{minutes // 60:02d}{minutes % 60:02d}{said}" == expected
        case Reading(choice=str(choice)):
            assert choice == expected
        case Reading(shown=shown):
            assert shown == expected


@pytest.mark.parametrize(("text", "expected"), TEXTS["quantity"])
def test_what_students_type_for_a_number_is_read_as_a_teacher_would(text: str, expected: str) -> None:
    """What can mean one thing is read so; what can mean two is refused with the reason."""
    holds(read_answer(text, "quantity"), expected)


@pytest.mark.parametrize(("text", "expected"), TEXTS["clock"])
def test_what_students_type_for_a_time_is_read_as_a_teacher_would(text: str, expected: str) -> None:
    """Half of the day and day later are taken from the words, never guessed."""
    holds(read_answer(text, "clock"), expected)


@pytest.mark.parametrize(("text", "expected", "labels"), CHOICES)
def test_what_students_type_for_a_choice_is_read_as_a_teacher_would(text: str, expected: str, labels: int) -> None:
    """A part of one label will do, unless what is left out turns it into its opposite."""
    holds(read_answer(text, "choice", choices=LABELS[labels]), expected)


def test_each_is_read_in_five_milliseconds() -> None:
    """The quickest of three goes counts, so that a busy machine doesn't fail it."""
    for kind in ("quantity", "clock"):
        for text, _ in TEXTS[kind]:
            times = []
            for _ in range(3):
                start = time.perf_counter()
                read_answer(text, kind)
                times.append(time.perf_counter() - start)
            assert min(times) < 0.005, text
