"""What a lesson asks and shows, as data: its questions, its infusions, and worked examples with gaps."""

from calclib.lessons.reader import lesson, lesson_names
from calclib.lessons.records import Choice, Lesson, Question

__all__ = ["Choice", "Lesson", "Question", "lesson", "lesson_names"]
