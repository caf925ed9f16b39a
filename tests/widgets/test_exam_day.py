"""The day of the exam, set on the page of a day."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from calclib.memory import practice_file, read_memory
from calclib.widgets import exam_day


@pytest.fixture(autouse=True)
def memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A memory of its own for each test."""
    monkeypatch.setenv("CALCLIB_PRACTICE_FILE", str(tmp_path / "practice.json"))


@pytest.mark.parametrize(
    ("sent", "kept", "told"),
    [
        ({"day": "2026-12-15"}, date(2026, 12, 15), "Kept. Nothing is put off past the day before."),
        ({"day": ""}, None, "No exam day is kept now."),
        (
            {"day": "2026-13-45"},
            date(2026, 12, 1),
            "That is no day. Choose one in the field, then press Keep this day.",
        ),
        (
            {"day": "2026-12-15T09:00"},
            date(2026, 12, 1),
            "That is no day. Choose one in the field, then press Keep this day.",
        ),
        ({"day": 5}, date(2026, 12, 1), "Kept. Nothing is put off past the day before."),
        ("2026-12-15", date(2026, 12, 1), "Kept. Nothing is put off past the day before."),
    ],
)
def test_a_day_is_kept_or_a_sentence_says_why_not(sent: object, kept: date | None, told: str) -> None:
    """What was kept before stays where no day is sent, and what the page sends is never trusted."""
    field = exam_day()
    field._received(field, {"day": "2026-12-01"})
    field._received(field, sent)
    assert (read_memory(practice_file()).memory.exam, field.told) == (kept, told)
    assert exam_day().day == (kept.isoformat() if kept else "")
