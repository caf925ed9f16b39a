"""Controls for lessons in a notebook."""

from calclib.widgets.board import worked_example
from calclib.widgets.explorer import infusion_explorer
from calclib.widgets.practice import practice_box
from calclib.widgets.question import question

__all__ = ["infusion_explorer", "practice_box", "question", "worked_example"]
