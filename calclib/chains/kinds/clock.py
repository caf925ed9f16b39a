"""Clock: a time of day some minutes later or earlier, the day turning over at midnight."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.factors import Env, Factor, Names, Value, bridged, product_value
from calclib.chains.kinds.decimal_hours import decimal_minutes
from calclib.chains.step import Step, StepKind
from calclib.quantity.units import parse_unit

DECIMAL_MINUTES = "decimal minutes"
DECIMAL_MINUTES_CUT_OFF = "decimal minutes cut off"


@dataclass(frozen=True)
class Clock(Step):
    """Minutes after midnight of the first day.

    Args:
        start: The name of the time of day to start from.
        add: The duration, in minutes.
        sign: +1 for later, -1 for earlier.
        variant: "" for the right way; DECIMAL_MINUTES reads the two digits after the point of the hours, rounded, as
            minutes, DECIMAL_MINUTES_CUT_OFF without rounding.
    """

    start: str
    add: tuple[Factor, ...]
    sign: int = 1
    variant: str = ""

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of start and duration."""
        return (self.start, *(f.name for f in self.add if f.number is None))

    def evaluate(self, env: Env) -> Value:
        """Return minutes after midnight of the first day; 1440 and more is a later day."""
        start = env[self.start]
        minutes = product_value(self.add, env)
        assert isinstance(start, Fraction) and isinstance(minutes, Fraction)
        if self.variant:
            minutes = decimal_minutes(minutes, self.variant == DECIMAL_MINUTES_CUT_OFF)
        return start + self.sign * minutes


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Clock:
    """Return the step that `start` and `add` (or `subtract`) describe.

    Raises:
        BadInput: A name is unknown, or the duration is no time.
    """
    names.unit(fields["start"])
    duration = fields.get("add") or fields["subtract"]
    names.unit(duration)
    factors = bridged((Factor(duration, 1),), names, parse_unit("min"), common["name"])
    return Clock(**common, start=fields["start"], add=factors, sign=1 if "add" in fields else -1)


KIND = StepKind(compiled, frozenset({"start"}), frozenset({"add", "subtract"}))
