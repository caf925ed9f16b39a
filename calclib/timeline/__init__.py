"""Primary and secondary infusions over time, exact from event to event. A model for learning."""

from calclib.timeline.cautions import TypicalVolume, typical_volumes
from calclib.timeline.curve import PiecewiseLinear
from calclib.timeline.hanging import Bag, BagChange, Entered, Flush, Hanging, Primary, Secondary
from calclib.timeline.record import Balance, Event, Segment, Timeline
from calclib.timeline.simulation import infusion_timeline

__all__ = [
    "Bag",
    "BagChange",
    "Balance",
    "Entered",
    "Event",
    "Flush",
    "Hanging",
    "PiecewiseLinear",
    "Primary",
    "Secondary",
    "Segment",
    "Timeline",
    "TypicalVolume",
    "infusion_timeline",
    "typical_volumes",
]
