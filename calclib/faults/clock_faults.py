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
from calclib.faults import wording
from calclib.faults.fault import Fault
from calclib.quantity.units import parse_unit
from calclib.wording.facts import fact

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
            words = wording.HUNDRED_MINUTES
            scaled = Edit(scales={f"eq:{name}": Fraction(100, 60)})
            yield Fault(HUNDRED_MINUTES, "", f"eq:{name}", words, scaled, True)


def _wrong(step: Step, how: str) -> Edit:
    return Edit(step=WrongTime(step.name, step.says, step.unit, step.quantity, step.sources, step, how))


def _difference(step: Between | Sum) -> Iterator[Fault]:
    words = wording.HUNDRED_MINUTES
    yield Fault(HUNDRED_MINUTES, step.name, "", words, _wrong(step, READ_AS_TIME))
    words = fact("mistake.minutes_as_decimals")
    yield Fault("decimal hours", step.name, "", words, _wrong(step, READ_AS_DECIMALS), True)


def _miscounted(step: Step) -> Iterator[Fault]:
    for how, words in ((HOUR_MORE, fact("mistake.hour_too_many")), (HOUR_LESS, fact("mistake.hour_too_few"))):
        yield Fault("hour miscounted", step.name, "", words, _wrong(step, how), True)
    words = fact("mistake.minutes_left_out")
    yield Fault("hour miscounted", step.name, "", words, _wrong(step, MINUTES_DROPPED), True)


def _time_of_day(step: Clock) -> Iterator[Fault]:
    words = wording.HUNDRED_MINUTES
    yield Fault(HUNDRED_MINUTES, step.name, step.start, words, _wrong(step, READ_AS_TIME))
    words = fact("mistake.minutes_as_number")
    yield Fault(HUNDRED_MINUTES, step.name, step.start, words, _wrong(step, PLAIN_MINUTES))
    words = fact("mistake.hour_not_carried")
    yield Fault("hour miscounted", step.name, step.start, words, _wrong(step, NOT_CARRIED), True)
