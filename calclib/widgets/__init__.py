"""Controls for lessons in a notebook."""

from calclib.widgets.board import worked_example
from calclib.widgets.explorer import infusion_explorer
from calclib.widgets.practice import practice_box, todays_practice
from calclib.widgets.question import question
from calclib.widgets.sources_list import lesson_sources, published_volumes

__all__ = [
    "infusion_explorer",
    "lesson_sources",
    "practice_box",
    "published_volumes",
    "question",
    "todays_practice",
    "worked_example",
]
