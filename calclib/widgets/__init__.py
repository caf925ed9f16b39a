"""Controls for lessons in a notebook."""

from calclib.widgets.explorer import infusion_explorer
from calclib.widgets.practice import practice_box, todays_practice

__all__ = ["infusion_explorer", "practice_box", "todays_practice"]
