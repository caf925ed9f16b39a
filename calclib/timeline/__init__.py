"""Primary and secondary infusions over time, exact from event to event. A model for learning."""

from calclib.timeline.back_priming import Option, PrimingStep, priming_amounts, priming_steps
from calclib.timeline.cautions import TypicalVolume, typical_volumes
from calclib.timeline.compared import Comparison, compared_runs, compared_steady
from calclib.timeline.curve import PiecewiseLinear
from calclib.timeline.entries import Entries
from calclib.timeline.hanging import Bag, BagChange, Entered, Flush, Hanging, Primary, Secondary
from calclib.timeline.record import Balance, Event, Segment, Timeline
from calclib.timeline.simulation import infusion_timeline

__all__ = [
    "Bag",
    "BagChange",
    "Balance",
    "Comparison",
    "Entered",
    "Entries",
    "Event",
    "Flush",
    "Hanging",
    "Option",
    "PiecewiseLinear",
    "Primary",
    "PrimingStep",
    "Secondary",
    "Segment",
    "Timeline",
    "TypicalVolume",
    "compared_runs",
    "compared_steady",
    "infusion_timeline",
    "priming_amounts",
    "priming_steps",
    "typical_volumes",
]
