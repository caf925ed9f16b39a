"""Controls for lessons in a notebook."""

from calclib.widgets.asleep import running_page
from calclib.widgets.board import worked_example
from calclib.widgets.devices import hang_two_bags, infusion_form
from calclib.widgets.explorer import infusion_explorer
from calclib.widgets.practice import practice_box, todays_practice
from calclib.widgets.question import question
from calclib.widgets.sources_list import lesson_sources, published_volumes

__all__ = [
    "hang_two_bags",
    "infusion_explorer",
    "infusion_form",
    "lesson_sources",
    "practice_box",
    "published_volumes",
    "question",
    "running_page",
    "todays_practice",
    "worked_example",
]
