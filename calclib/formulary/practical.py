"""Doses as they are ordered: the numbers of a range that lie on a grid, 5 mg/kg and not 4.37 mg/kg."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

_TENTH = Fraction(1, 10)
_LEADING = (Fraction(5), Fraction(5, 2), Fraction(1))
_BELOW_TWO = tuple(Fraction(one, 20) for one in (20, 24, 25, 30, 32, 35))
_NOT_HALVES = tuple(Fraction(one, 2) for one in (11, 17, 19))


@dataclass(frozen=True)
class PracticalRange:
    """Numbers from `low` to `high` in steps, all of them multiples of the step.

    Args:
        low: The least number.
        high: The greatest number.
        step: The distance between two of them; 0 where there is only one.
    """

    low: Fraction
    high: Fraction
    step: Fraction


def practical_step(high: Fraction) -> Fraction:
    """Return the step for a range that ends at a number above 0.

    It is the greatest of 1, 2.5 and 5 times a power of ten that is at most a tenth of the end: 5 up to 80, 50 up to
    500, 1 up to 20.
    """
    ceiling, power = high * _TENTH, Fraction(1)
    while power > ceiling:
        power /= 10
    while power * 10 <= ceiling:
        power *= 10
    return next(power * lead for lead in _LEADING if power * lead <= ceiling)


def leading_digits(number: Fraction) -> Fraction:
    """Return a number above 0 with its decimal point after the first digit: 1.25 of 12.5 and of 0.125."""
    while number >= 10:
        number /= 10
    while number < 1:
        number *= 10
    return number


def is_as_ordered(number: Fraction) -> bool:
    """Whether a dose that nothing is computed from is written with such a number: 12.5, 40 or 750, and not 28 or 1,400.

    The leading digits decide: 1, 1.2, 1.25, 1.5, 1.6 and 1.75, halves from 2 to 10 but for 5.5, 8.5 and 9.5, and
    eighths of the next power of ten.

    Args:
        number: A number above 0, in any metric unit.
    """
    leading = leading_digits(number)
    if (leading * _TENTH * 8).denominator == 1:
        return True
    if leading < 2:
        return leading in _BELOW_TWO
    return (leading * 2).denominator == 1 and leading not in _NOT_HALVES


def practical_range(low: Fraction, high: Fraction, step: Fraction | None = None) -> PracticalRange:
    """Return the multiples of a step from one number to another; the upper number alone where none lies between.

    Args:
        low: The lower end.
        high: The upper end, above 0 and not below the lower one.
        step: The step; None takes `practical_step`.
    """
    step = practical_step(high) if step is None else step
    first, last = -(-low // step) * step, high // step * step
    if low == high or last <= first:
        only = first if first == last else high
        return PracticalRange(high if low == high else only, high if low == high else only, Fraction(0))
    return PracticalRange(first, last, step)
