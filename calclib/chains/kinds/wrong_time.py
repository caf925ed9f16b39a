"""Times worked out wrongly, as if an hour had 100 minutes and the like: mistakes, not a kind for item models."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from calclib.chains.factors import Env, Value, product_value
from calclib.chains.kinds.between import DAY, Between
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.sums import Sum
from calclib.chains.step import Step
from calclib.quantity.units import parse_unit

HOUR = 60
HUNDRED = 100
READ_AS_TIME = "read as time"
READ_AS_DECIMALS = "read as decimals"
NOT_CARRIED = "not carried"
PLAIN_MINUTES = "plain minutes"
HOUR_MORE = "hour more"
HOUR_LESS = "hour less"
MINUTES_DROPPED = "minutes dropped"


@dataclass(frozen=True)
class WrongTime(Step):
    """A difference or a sum of times, or a time of day, with a mistake in its hours and minutes.

    Args:
        right: The step done rightly; a sum of times in min or h, the time between two times of day, or a time of day.
        how: READ_AS_TIME makes 8 h 75 min of 16:20 less 7:45, READ_AS_DECIMALS 8.75 h. For a time of day READ_AS_TIME
            carries and borrows 100 minutes, NOT_CARRIED forgets the hour that is carried, and PLAIN_MINUTES adds
            75 min to 0820 as 0895. HOUR_MORE and HOUR_LESS miscount by an hour; MINUTES_DROPPED keeps full hours.
    """

    right: Step
    how: str

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names that the step uses."""
        return self.right.inputs

    def evaluate(self, env: Env) -> Value:
        """Return the wrong time.

        Raises:
            ZeroDivisionError: Nothing is carried or borrowed, or what comes out is no time.
        """
        if isinstance(self.right, Clock):
            return self._time_of_day(self.right, env)
        if self.how in (HOUR_MORE, HOUR_LESS, MINUTES_DROPPED):
            return self._miscounted(env)
        terms = tuple(self._terms(env))
        total = sum((sign * _digits(minutes) for sign, minutes in terms), Fraction(0))
        right = sum((sign * minutes for sign, minutes in terms), Fraction(0))
        if total <= 0 or right <= 0:
            raise ZeroDivisionError("no time")
        hours, rest = divmod(total, HUNDRED)
        minutes = total * HOUR / HUNDRED if self.how == READ_AS_DECIMALS else hours * HOUR + rest
        if minutes == right:
            raise ZeroDivisionError("nothing is borrowed")
        return minutes / minutes_in(self.right)

    def _miscounted(self, env: Env) -> Fraction:
        right = self.right.evaluate(env)
        if not isinstance(right, Fraction):
            raise ZeroDivisionError("no exact time")
        hour = Fraction(HOUR, minutes_in(self.right))
        if self.how == MINUTES_DROPPED:
            return right // hour * hour
        return right + hour if self.how == HOUR_MORE else right - hour

    def _terms(self, env: Env) -> Iterator[tuple[int, Fraction]]:
        if isinstance(self.right, Between):
            start, end = env[self.right.start], env[self.right.end]
            assert isinstance(start, Fraction) and isinstance(end, Fraction)
            yield 1, end if end >= start else end + DAY
            yield -1, start
        elif isinstance(self.right, Sum):
            for term in self.right.terms:
                value = product_value(term.factors, env)
                if not isinstance(value, Fraction):
                    raise ZeroDivisionError("no exact time")
                yield term.sign, value * minutes_in(self.right)

    def _time_of_day(self, right: Clock, env: Env) -> Fraction:
        start, minutes = env[right.start], product_value(right.add, env)
        assert isinstance(start, Fraction) and isinstance(minutes, Fraction)
        done = start + right.sign * minutes
        if self.how in (HOUR_MORE, HOUR_LESS):
            return done + (HOUR if self.how == HOUR_MORE else -HOUR)
        if self.how == MINUTES_DROPPED:
            return start + right.sign * (minutes // HOUR * HOUR)
        if self.how == PLAIN_MINUTES:
            hours, rest = divmod(_digits(start) + right.sign * minutes, HUNDRED)
            if rest >= HOUR or minutes < HOUR or hours < 0:
                raise ZeroDivisionError("no time of day")
            return hours * HOUR + rest
        together = start % HOUR + right.sign * (minutes % HOUR)
        if self.how == NOT_CARRIED:
            if 0 <= together < HOUR:
                raise ZeroDivisionError("nothing is carried")
            return done - right.sign * HOUR
        if together < 0:
            return done + HUNDRED - HOUR
        if together < HUNDRED:
            raise ZeroDivisionError("nothing is carried")
        return done - (HUNDRED - HOUR)


def _digits(minutes: Fraction) -> Fraction:
    """Minutes written as hours and minutes, read as one number: 8 h 25 min is 825."""
    hours, rest = divmod(minutes, HOUR)
    return hours * HUNDRED + rest


def minutes_in(step: Step) -> int:
    """Return how many minutes the unit of a step has."""
    return HOUR if step.unit == parse_unit("h") else 1
