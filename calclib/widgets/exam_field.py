"""A field for the day of the exam: nothing that is practiced is put off past it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from calclib.memory import kept_in, practice_file, read_memory
from calclib.widgets.asleep import Waking
from calclib.widgets.failing import failure_sentence
from calclib.widgets.styles import styles
from calclib.wording import fact, said

LONGEST_DAY = 10
"""Signs of a day, as 2026-12-15; a longer text is none."""


def exam_day() -> ExamDay:
    """A field for the day of the student's exam, which is kept with what was practiced."""
    opened = read_memory(practice_file())
    return ExamDay(opened.memory.exam, opened.notice)


class ExamDay(Waking, anywidget.AnyWidget):
    """The field on the page.

    Args:
        day: The day that is kept, None for none.
        notice: A sentence of the memory, "" for none.
    """

    _esm = Path(__file__).parent / "exam_field.js"
    _css = styles("lesson.css")
    words = traitlets.Dict().tag(sync=True)
    day = traitlets.Unicode().tag(sync=True)
    told = traitlets.Unicode().tag(sync=True)
    stands = fact("asleep.exam_day")

    def __init__(self, day: date | None, notice: str = "") -> None:
        words = {
            "label": said("practice.exam_label"),
            "keep": said("practice.exam_keep"),
            "none": said("practice.exam_none"),
        }
        super().__init__(words=words, day=day.isoformat() if day else "", told=notice)
        self.on_msg(self._received)

    def _received(self, _: object, content: Any, __: object = None) -> None:
        if not isinstance(content, dict) or not isinstance(content.get("day"), str):
            return
        try:
            self._keep(content["day"][: LONGEST_DAY + 1])
        except Exception as error:  # noqa: BLE001 - whatever fails, one sentence tells of it
            self.told = failure_sentence(error)

    def _keep(self, text: str) -> None:
        """Keep a day; an empty text takes it away."""
        try:
            day = date.fromisoformat(text) if text else None
        except ValueError:
            self.told = said("practice.exam_no_day")
            return
        notice = kept_in(practice_file(), lambda memory: memory._replace(exam=day)).notice
        self.day = text
        kept = said("practice.exam_kept" if day else "practice.exam_gone")
        self.told = f"{kept} {notice}".strip()
