"""Between: the time from one time of day to another, the day turning over at midnight."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.factors import Env, Names, Value
from calclib.chains.step import Step, StepKind
from calclib.errors.messages import BadInput
from calclib.quantity.units import parse_unit
from calclib.wording.facts import fact

DAY = 24 * 60
MINUTE = parse_unit("min")
PLAIN_NUMBERS = "plain numbers"
DAY_NOT_TURNED = "day not turned"


@dataclass(frozen=True)
class Between(Step):
    """Minutes from a start to an end; an end before the start is one of the next day.

    Args:
        start: The name of the earlier time.
        end: The name of the later time.
        variant: "" for the right way; "plain numbers" subtracts 1345 from 1530 as numbers; "day not turned" counts back
            from the later to the earlier time of one day.
    """

    start: str
    end: str
    variant: str = ""

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of start and end."""
        return (self.start, self.end)

    def evaluate(self, env: Env) -> Value:
        """Return the minutes between."""
        start, end = env[self.start], env[self.end]
        assert isinstance(start, Fraction) and isinstance(end, Fraction)
        if self.variant == DAY_NOT_TURNED:
            return abs(end % DAY - start % DAY)
        later = end if end >= start else end + DAY
        if self.variant == PLAIN_NUMBERS:
            return _digits(later) - _digits(start)
        return later - start


def _digits(minutes: Fraction) -> Fraction:
    """The four digits of a clock read as a number; 24 hours later 2400 more."""
    hours, rest = divmod(minutes, 60)
    return hours * 100 + rest


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Between:
    """Return the step that `start` and `end` describe.

    Raises:
        BadInput: A name is unknown or is no time of day.
    """
    for name in (fields["start"], fields["end"]):
        if names.unit(name) != MINUTE:
            raise BadInput(fact("errors_chains.no_time_of_day", step=common["name"], name=name))
    return Between(**common, start=fields["start"], end=fields["end"])


KIND = StepKind(compiled, frozenset({"start", "end"}))
