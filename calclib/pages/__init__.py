"""Pages that people read: one of feedback for each student, one report for the class."""

from calclib.pages.class_report import write_report
from calclib.pages.feedback import WrittenFeedback, write_feedback

__all__ = ["WrittenFeedback", "write_feedback", "write_report"]
