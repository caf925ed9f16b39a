"""An invented class: simulated students, their class list and problem set, and the whole cycle on one command."""

from calclib.demo.class_list import demo_blueprint, demo_roster
from calclib.demo.printed import file_lines, summary_lines
from calclib.demo.run import DemoSummary, run_demo
from calclib.demo.simulated_students import Planted, Question, TypedAnswer
from calclib.demo.students.student import (
    error_free_answers,
    planted_error,
    possible_mistakes,
    simulated_answers,
)

__all__ = [
    "DemoSummary",
    "Planted",
    "Question",
    "TypedAnswer",
    "demo_blueprint",
    "demo_roster",
    "error_free_answers",
    "file_lines",
    "planted_error",
    "possible_mistakes",
    "run_demo",
    "simulated_answers",
    "summary_lines",
]
