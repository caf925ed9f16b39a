"""Typed text to a reading, without ever running it.

Needs nothing but Python, so an exam notebook can carry this folder alone.
"""

from calclib.reading.answers import read_answer, says_nothing
from calclib.reading.cells import BEHIND, PLACE, CellText, read_answer_cell
from calclib.reading.check_cells import answer_in, show_answer
from calclib.reading.grammar.trees import Equation, Expression, InUnit, Number, Product, Quotient, Sum, Unknown
from calclib.reading.grammar.values import tree_value
from calclib.reading.notation import NotationRule, notation_rules
from calclib.reading.records import Blank, Notice, Reading, Unit, Unread
from calclib.reading.setups import SetupReading, read_setup
from calclib.reading.start import start_set

__all__ = [
    "BEHIND",
    "PLACE",
    "Blank",
    "CellText",
    "Equation",
    "Expression",
    "InUnit",
    "NotationRule",
    "Notice",
    "Number",
    "Product",
    "Quotient",
    "Reading",
    "SetupReading",
    "Sum",
    "Unit",
    "Unknown",
    "Unread",
    "answer_in",
    "notation_rules",
    "read_answer",
    "read_answer_cell",
    "read_setup",
    "says_nothing",
    "show_answer",
    "start_set",
    "tree_value",
]
