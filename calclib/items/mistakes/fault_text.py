"""The answer to which a mistake leads, as it is printed."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.items.item import ItemPart
from calclib.items.recorded.fault_result import FaultResult
from calclib.models.stated import clock_text
from calclib.quantity.writing import write_quantity

DECIMALS = 4


def fault_answer(part: ItemPart, fault: FaultResult) -> str:
    """Return the answer of a mistake in safe notation.

    Args:
        part: The part.
        fault: One of its faults.
    """
    if fault.written is None:
        return fault.choice or ""
    if part.kind == "clock":
        return clock_text(fault.written)
    try:
        return write_quantity(fault.written, part.unit)
    except BadInput:
        return write_quantity(fault.written, part.unit, DECIMALS)
