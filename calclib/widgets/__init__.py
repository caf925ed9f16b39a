"""Controls for lessons in a notebook.

Each is imported when it is first asked for: a lesson's first question doesn't wait for what the last section needs.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from calclib.widgets.asleep import running_page
    from calclib.widgets.board import worked_example
    from calclib.widgets.by_hand import choose_syringe, count_drops, draw_up, read_level, set_clamp
    from calclib.widgets.devices import hang_two_bags, infusion_form, time_strip
    from calclib.widgets.exam_field import exam_day
    from calclib.widgets.explorer import infusion_explorer
    from calclib.widgets.practice import practice_box, todays_practice
    from calclib.widgets.question_box import question
    from calclib.widgets.sources_list import lesson_sources, published_volumes

_HOMES = {
    "choose_syringe": "by_hand",
    "count_drops": "by_hand",
    "draw_up": "by_hand",
    "exam_day": "exam_field",
    "hang_two_bags": "devices",
    "infusion_explorer": "explorer",
    "infusion_form": "devices",
    "lesson_sources": "sources_list",
    "practice_box": "practice",
    "published_volumes": "sources_list",
    "question": "question_box",
    "read_level": "by_hand",
    "running_page": "asleep",
    "set_clamp": "by_hand",
    "time_strip": "devices",
    "todays_practice": "practice",
    "worked_example": "board",
}


def __getattr__(name: str) -> Any:
    """Return a control by its name."""
    if name not in _HOMES:
        raise AttributeError(name)
    return getattr(import_module(f"calclib.widgets.{_HOMES[name]}"), name)


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
