"""Mistakes with hours and minutes: 100 minutes borrowed or carried, an hour more or less, minutes left out."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from calclib.chains.chain import Chain, Edit
from calclib.chains.kinds.between import Between
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.sums import Sum
from calclib.chains.kinds.wrong_time import (
    HOUR_LESS,
    HOUR_MORE,
    MINUTES_DROPPED,
    NOT_CARRIED,
    PLAIN_MINUTES,
    READ_AS_DECIMALS,
    READ_AS_TIME,
    WrongTime,
)
from calclib.chains.step import Step
from calclib.faults.fault import Fault
from calclib.quantity.units import parse_unit

TIMES = (parse_unit("min"), parse_unit("h"))
HUNDRED_MINUTES = "hundred minutes"


def clock_faults(chain: Chain) -> Iterator[Fault]:
    """Yield the mistakes in the steps of a chain that add or subtract times.

    Args:
        chain: The compiled chain.
    """
    for step in chain.steps:
        if isinstance(step, Clock):
            yield from _time_of_day(step)
            yield from _miscounted(step)
        elif isinstance(step, Between):
            yield from _difference(step)
            yield from _miscounted(step)
        elif isinstance(step, Sum) and step.unit in TIMES and len(step.terms) > 1:
            yield from _difference(step)
    for name in ("min_per_h", "s_per_min"):
        if name in chain.equivalences:
            whole, part = ("an hour", "minutes") if name == "min_per_h" else ("a minute", "seconds")
            words = f"counting 100 {part} in {whole}, where it has 60"
            scaled = Edit(scales={f"eq:{name}": Fraction(100, 60)})
            yield Fault(HUNDRED_MINUTES, "", f"eq:{name}", words, scaled, True)


def _wrong(step: Step, how: str) -> Edit:
    return Edit(step=WrongTime(step.name, step.says, step.unit, step.quantity, step.sources, step, how))


def _difference(step: Between | Sum) -> Iterator[Fault]:
    words = "carrying or borrowing 100 minutes, where an hour has 60"
    yield Fault(HUNDRED_MINUTES, step.name, "", words, _wrong(step, READ_AS_TIME))
    words = "reading the minutes as decimals of an hour (30 min is 0.5 h, not 0.3 h)"
    yield Fault("decimal hours", step.name, "", words, _wrong(step, READ_AS_DECIMALS), True)


def _miscounted(step: Step) -> Iterator[Fault]:
    for how, word in ((HOUR_MORE, "many"), (HOUR_LESS, "few")):
        yield Fault("hour miscounted", step.name, "", f"counting one hour too {word}", _wrong(step, how), True)
    words = "leaving out the minutes beside the full hours"
    yield Fault("hour miscounted", step.name, "", words, _wrong(step, MINUTES_DROPPED), True)


def _time_of_day(step: Clock) -> Iterator[Fault]:
    words = "carrying or borrowing 100 minutes, where an hour has 60"
    yield Fault(HUNDRED_MINUTES, step.name, step.start, words, _wrong(step, READ_AS_TIME))
    words = "adding the minutes to the time of day as if it were a plain number (an hour has 60 minutes, not 100)"
    yield Fault(HUNDRED_MINUTES, step.name, step.start, words, _wrong(step, PLAIN_MINUTES))
    words = "not carrying the hour that the minutes make"
    yield Fault("hour miscounted", step.name, step.start, words, _wrong(step, NOT_CARRIED), True)
