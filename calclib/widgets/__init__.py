"""Controls for lessons in a notebook."""

from calclib.widgets.asleep import running_page
from calclib.widgets.board import worked_example
from calclib.widgets.by_hand import choose_syringe, count_drops, draw_up, read_level, set_clamp
from calclib.widgets.devices import hang_two_bags, infusion_form, time_strip
from calclib.widgets.exam_day import exam_day
from calclib.widgets.explorer import infusion_explorer
from calclib.widgets.practice import practice_box, todays_practice
from calclib.widgets.question import question
from calclib.widgets.sources_list import lesson_sources, published_volumes

__all__ = [
    "choose_syringe",
    "count_drops",
    "draw_up",
    "exam_day",
    "hang_two_bags",
    "infusion_explorer",
    "infusion_form",
    "lesson_sources",
    "practice_box",
    "published_volumes",
    "question",
    "read_level",
    "running_page",
    "set_clamp",
    "time_strip",
    "todays_practice",
    "worked_example",
]
