"""Typed text to a reading, without ever running it.

Needs nothing but Python, so an exam notebook can carry this folder alone.
"""

from calclib.reading.answers import read_answer
from calclib.reading.cells import CellText, read_answer_cell
from calclib.reading.check_cells import show_answer
from calclib.reading.notation import NotationRule, notation_rules
from calclib.reading.records import Blank, Notice, Reading, Unit, Unread

__all__ = [
    "Blank",
    "CellText",
    "NotationRule",
    "Notice",
    "Reading",
    "Unit",
    "Unread",
    "notation_rules",
    "read_answer",
    "read_answer_cell",
    "show_answer",
]
