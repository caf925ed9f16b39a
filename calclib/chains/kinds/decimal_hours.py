"""Minutes worked out in hours whose decimals are then taken for minutes: a mistake, not a kind for item models."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.chains.factors import Env, Value
from calclib.chains.step import Step

MINUTES_AN_HOUR = 60


@dataclass(frozen=True)
class DecimalHours(Step):
    """A step in minutes by one who writes 3.7 h as 3 h 70 min.

    Args:
        right: The step done rightly, in minutes.
        cut_off: Whether two digits are kept without rounding.
    """

    right: Step
    cut_off: bool = False

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names that the step uses."""
        return self.right.inputs

    def evaluate(self, env: Env) -> Value:
        """Return the wrong minutes."""
        minutes = self.right.evaluate(env)
        return decimal_minutes(minutes, self.cut_off) if isinstance(minutes, Fraction) else minutes


def decimal_minutes(minutes: Fraction, cut_off: bool) -> Fraction:
    """Return minutes whose hours' first two decimals are taken for minutes.

    Args:
        minutes: The right minutes.
        cut_off: Whether the decimals are cut off, not rounded.
    """
    hundredths = minutes / MINUTES_AN_HOUR * 100 + (0 if cut_off else Fraction(1, 2))
    hours, digits = divmod(hundredths.__floor__(), 100)
    return Fraction(hours * MINUTES_AN_HOUR + digits)
