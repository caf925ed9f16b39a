"""Rate, volume to be infused and time as they are entered: whether they agree, and what two make the third."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

MINUTES_PER_HOUR = 60

Agreement = Literal["too_few", "third", "agree", "disagree"]
"""Fewer than two are entered; two, which make the third; all three, which agree or don't."""


@dataclass(frozen=True)
class Entries:
    """What is entered; None for what isn't.

    Args:
        rate: [mL/h]
        volume: Volume to be infused [mL].
        minutes: [min]
    """

    rate: Fraction | None = None
    volume: Fraction | None = None
    minutes: Fraction | None = None

    @property
    def agreement(self) -> Agreement:
        """Whether they agree: the volume takes the entered time at the rate, to the whole minute."""
        entered = sum(one is not None for one in (self.rate, self.volume, self.minutes))
        if entered < 3:
            return "third" if entered == 2 else "too_few"
        assert self.minutes is not None, "all three are entered"
        return "agree" if _whole(self.takes()) == _whole(self.minutes) else "disagree"

    def takes(self) -> Fraction:
        """Return the time that the volume takes at the rate [min]."""
        assert self.rate and self.volume, "a time needs both"
        return self.volume * MINUTES_PER_HOUR / self.rate

    def rate_needed(self) -> Fraction:
        """Return the rate at which the volume runs in within the time [mL/h]."""
        assert self.volume and self.minutes, "a rate needs both"
        return self.volume * MINUTES_PER_HOUR / self.minutes

    def delivered(self) -> Fraction:
        """Return the volume that runs in within the time at the rate [mL]."""
        assert self.rate and self.minutes, "a volume needs both"
        return self.rate * self.minutes / MINUTES_PER_HOUR


def _whole(minutes: Fraction) -> int:
    return (minutes + Fraction(1, 2)).__floor__()
