"""A range of a teacher, as the texts of its two ends."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.reading.orders.ranges import read_range
from calclib.wording.facts import fact


def range_form(text: str) -> tuple[str, str] | None:
    """Return both ends of “20-40 mg/kg/day”, “20 to 40 mg/kg/day” or “500 mg to 1 g”; None for anything else.

    Args:
        text: A text of some dozens of characters at the most.

    Raises:
        BadInput: The range does not rise.
    """
    ends = read_range(text)
    if ends is None:
        return None
    low, high = ends
    if low.unit == high.unit and low.value >= high.value:
        raise BadInput(fact("errors_models.range_does_not_rise", text=text))
    return f"{low.number} {low.unit}", f"{high.number} {high.unit}"
