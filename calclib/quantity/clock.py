"""Times on the 24-hour clock, with the day turning over."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.wording.facts import fact

MINUTES_PER_DAY = 24 * 60

_DAYS = {-1: " the day before", 0: "", 1: " the next day"}
_TEXT = re.compile(r"(\d{2})(\d{2})( the day before| the next day| (\d{1,3}) days (later|before))?", re.ASCII)


@dataclass(frozen=True, order=False)
class ClockTime:
    """A time of day on a day counted from the first one.

    Args:
        minutes: Minutes after midnight, 0 to 1439.
        day: 0 for the first day, 1 for the next.

    Raises:
        BadInput: if `minutes` is outside the day.
    """

    minutes: int
    day: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.minutes < MINUTES_PER_DAY:
            raise BadInput(fact("errors_quantity.minutes_of_day", last=MINUTES_PER_DAY - 1, minutes=self.minutes))

    @property
    def total(self) -> int:
        """Minutes after midnight of the first day."""
        return self.day * MINUTES_PER_DAY + self.minutes

    def plus(self, minutes: Fraction | int) -> ClockTime:
        """The time some whole minutes later; earlier if negative.

        Raises:
            BadInput: if `minutes` is not whole; round it by the policy first.
        """
        return clock_time(self.total + minutes)

    def write(self) -> str:
        """Four digits, with the day in words: "1345", "0130 the next day"."""
        days = _DAYS.get(self.day, f" {abs(self.day)} days {'later' if self.day > 0 else 'before'}")
        return f"{self.minutes // 60:02}{self.minutes % 60:02}{days}"


def clock_time(total: Fraction | int) -> ClockTime:
    """The time a whole number of minutes after midnight of the first day.

    Raises:
        BadInput: if `total` is not whole; round it by the policy first.
    """
    total = Fraction(total)
    if total.denominator != 1:
        raise BadInput(fact("errors_quantity.no_whole_minutes", minutes=str(total)))
    day, minutes = divmod(total.numerator, MINUTES_PER_DAY)
    return ClockTime(minutes, day)


def parse(text: str) -> ClockTime:
    """A time as `write` writes it: "2315", "0130 the next day".

    Raises:
        BadInput: for anything else, such as "2460" or "11:15 pm".
    """
    match = _TEXT.fullmatch(text.strip())
    if match is None or int(match[1]) > 23 or int(match[2]) > 59:
        raise BadInput(fact("errors_quantity.no_time_of_day", text=text[:40]))
    return ClockTime(int(match[1]) * 60 + int(match[2]), _day(match))


def _day(match: re.Match[str]) -> int:
    if match[4]:
        return int(match[4]) if match[5] == "later" else -int(match[4])
    return next(day for day, words in _DAYS.items() if words == (match[3] or ""))
