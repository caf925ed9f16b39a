"""Things to do with one's hands: devices that are set, and what is set is the answer."""

from calclib.widgets.devices.hands import HandsOn, hands_on
from calclib.widgets.devices.lesson import (
    by_hand,
    choose_syringe,
    count_drops,
    draw_up,
    read_level,
    set_clamp,
    time_strip,
)

__all__ = [
    "HandsOn",
    "by_hand",
    "choose_syringe",
    "count_drops",
    "draw_up",
    "hands_on",
    "read_level",
    "set_clamp",
    "time_strip",
]
