"""Pages that people read: one of feedback for each student, one report for the class."""

from calclib.pages.class_report import write_report
from calclib.pages.explanation import explanation
from calclib.pages.feedback import WrittenFeedback, write_feedback
from calclib.pages.report.anonymous import write_anonymous_report
from calclib.pages.waiting import Waiting, count_waiting, waiting

__all__ = [
    "Waiting",
    "WrittenFeedback",
    "count_waiting",
    "explanation",
    "waiting",
    "write_anonymous_report",
    "write_feedback",
    "write_report",
]
