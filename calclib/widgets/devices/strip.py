"""A bag with a time strip, for lessons."""

from __future__ import annotations

from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.models.devices import device
from calclib.quantity.writing import write_quantity
from calclib.widgets.devices.scaled import ScaledDevice
from calclib.wording.facts import fact


def time_strip(bag: str, hours: int, *, told: bool = True) -> ScaledDevice:
    """A hanging bag with a strip that says how far it should have run in at each full hour.

    Args:
        bag: A device: bag_500_mL or bag_1000_mL.
        hours: The time in which it is to run in [h].
        told: Whether the value of a mark is told beside its words.

    Raises:
        BadInput: There is no such bag, or the time isn't from 1 to 24 h.
    """
    of = device(bag)
    if of.drawn != "bag":
        raise BadInput(fact("errors_widgets.strip_beside", device=of.says))
    if hours not in range(1, 25):
        raise BadInput(fact("errors_widgets.hours_of_strip"))
    return ScaledDevice(of, told=told, strip=[(of.end * hour / hours, _hour(hour)) for hour in range(hours + 1)])


def _hour(hour: int) -> str:
    return "start" if not hour else write_quantity(Fraction(hour), "h")
