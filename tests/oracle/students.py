"""Simulated students who have learned every problem of the bank."""

from __future__ import annotations

from calclib.demo.students.answering import worked
from calclib.demo.students.student import (
    answers_of_mistakes,
    answers_with,
    error_free_answers,
    planted_error,
    possible_mistakes,
    simulated_answers,
)
from tests.oracle.known import PROCEDURES

__all__ = [
    "PROCEDURES",
    "answers_of_mistakes",
    "answers_with",
    "error_free_answers",
    "planted_error",
    "possible_mistakes",
    "simulated_answers",
    "worked",
]
