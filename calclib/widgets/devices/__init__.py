"""Things to do with one's hands: devices that are set, and what is set is the answer."""

from calclib.widgets.devices.compared import what_your_number_would_do
from calclib.widgets.devices.form import infusion_form
from calclib.widgets.devices.hands import HandsOn, hands_on
from calclib.widgets.devices.strip import time_strip
from calclib.widgets.devices.two_bags import hang_two_bags

__all__ = ["HandsOn", "hands_on", "hang_two_bags", "infusion_form", "time_strip", "what_your_number_would_do"]
