"""Steps that only mistakes make, as sympy expressions."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from calclib.chains.kinds.between import DAY, Between
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.sums import Sum
from calclib.chains.kinds.wrong_band import WholeForRest
from calclib.chains.kinds.wrong_time import (
    HOUR_LESS,
    HOUR_MORE,
    MINUTES_DROPPED,
    NOT_CARRIED,
    PLAIN_MINUTES,
    READ_AS_DECIMALS,
    WrongTime,
    minutes_in,
)
from calclib.chains.symbolic import Expression, digits, nothing, number, product, symbolic


def whole_for_rest(step: WholeForRest, known: Mapping[str, Expression]) -> Expression:
    """Return the last rate for the whole value in the place of the rest."""
    from sympy import Piecewise

    value = known[step.right.of]
    pieces = []
    total: Expression = number(Fraction(0))
    below = number(Fraction(0))
    for place, band in enumerate(step.right.bands):
        rate = number(band.rate)
        here = total + value * rate if place else nothing()
        if band.upto is None:
            pieces.append((here, True))
            continue
        end = number(band.upto)
        pieces.append((here, value <= end))
        total, below = total + (end - below) * rate, end
    return Piecewise(*pieces)


def wrong_time(step: WrongTime, known: Mapping[str, Expression]) -> Expression:
    """Return a time with a mistake in its hours and minutes."""
    from sympy import Eq, Piecewise, floor

    if isinstance(step.right, Clock):
        return _wrong_time_of_day(step, step.right, known)
    right = symbolic(step.right, known)
    hour = number(Fraction(60, minutes_in(step.right)))
    if step.how == MINUTES_DROPPED:
        return floor(right / hour) * hour
    if step.how in (HOUR_MORE, HOUR_LESS):
        return right + hour if step.how == HOUR_MORE else right - hour
    if isinstance(step.right, Between):
        start, end = known[step.right.start], known[step.right.end]
        total = digits(Piecewise((end, end >= start), (end + DAY, True))) - digits(start)
    else:
        assert isinstance(step.right, Sum)
        unit = minutes_in(step.right)
        total = sum(t.sign * digits(product(t.factors, known) * unit) for t in step.right.terms)
    wrong = total * number(Fraction(60, 100)) if step.how == READ_AS_DECIMALS else total - 40 * floor(total / 100)
    wrong = wrong / minutes_in(step.right)
    return Piecewise((nothing(), total <= 0), (nothing(), right <= 0), (nothing(), Eq(wrong, right)), (wrong, True))


def _wrong_time_of_day(step: WrongTime, right: Clock, known: Mapping[str, Expression]) -> Expression:
    from sympy import And, Mod, Or, Piecewise, floor

    start, minutes = known[right.start], product(right.add, known)
    done = start + right.sign * minutes
    if step.how in (HOUR_MORE, HOUR_LESS):
        return done + (60 if step.how == HOUR_MORE else -60)
    if step.how == MINUTES_DROPPED:
        return start + right.sign * (floor(minutes / 60) * 60)
    if step.how == PLAIN_MINUTES:
        total = digits(start) + right.sign * minutes
        none = Or(Mod(total, 100) >= 60, minutes < 60, total < 0)
        return Piecewise((nothing(), none), (total - 40 * floor(total / 100), True))
    together = Mod(start, 60) + right.sign * Mod(minutes, 60)
    if step.how == NOT_CARRIED:
        return Piecewise((nothing(), And(together >= 0, together < 60)), (done - right.sign * 60, True))
    return Piecewise((done + 40, together < 0), (nothing(), together < 100), (done - 40, True))
