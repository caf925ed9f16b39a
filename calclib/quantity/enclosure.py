"""Rational enclosures of numbers that no fraction equals, such as a square root.

An `Enclosure` is an interval with rational ends that certainly holds the number. Arithmetic keeps that promise; a
comparison that the interval cannot decide raises `Undecided` and never guesses.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import TypeAlias

from calclib.errors.messages import BadInput, CalclibError
from calclib.wording.facts import fact

Exact: TypeAlias = "Fraction | Enclosure"

# A body surface area needs about 10 significant bits to be rounded; 80 leave room for every later step.
BITS = 80
# Bits kept beyond the wanted ones while a root is raised to a power: each squaring doubles the relative error.
GUARD_BITS = 48


class Undecided(CalclibError):
    """A question about an enclosed number that the enclosure is too wide to answer."""


@dataclass(frozen=True)
class Enclosure:
    """An interval that holds one exact number.

    Args:
        low: Lower end, a fraction.
        high: Upper end, at least `low`.

    Raises:
        BadInput: if `low` is above `high`.
    """

    low: Fraction
    high: Fraction

    def __post_init__(self) -> None:
        if self.low > self.high:
            raise BadInput(fact("errors_quantity.ends_exchanged", low=str(self.low), high=str(self.high)))

    @property
    def width(self) -> Fraction:
        """How far the ends lie apart."""
        return self.high - self.low

    @property
    def middle(self) -> Fraction:
        """The point half way, for display only."""
        return (self.low + self.high) / 2

    def holds(self, x: Fraction | int) -> bool:
        """Whether `x` lies in the interval."""
        return self.low <= x <= self.high

    def __add__(self, other: Exact | int) -> Enclosure:
        low, high = ends(other)
        return Enclosure(self.low + low, self.high + high)

    __radd__ = __add__

    def __neg__(self) -> Enclosure:
        return Enclosure(-self.high, -self.low)

    def __pos__(self) -> Enclosure:
        return self

    def __abs__(self) -> Enclosure:
        if self.low >= 0:
            return self
        return -self if self.high <= 0 else Enclosure(Fraction(0), max(-self.low, self.high))

    def __sub__(self, other: Exact | int) -> Enclosure:
        low, high = ends(other)
        return Enclosure(self.low - high, self.high - low)

    def __rsub__(self, other: Exact | int) -> Enclosure:
        return -self + other

    def __mul__(self, other: Exact | int) -> Enclosure:
        low, high = ends(other)
        corners = (self.low * low, self.low * high, self.high * low, self.high * high)
        return Enclosure(min(corners), max(corners))

    __rmul__ = __mul__

    def __truediv__(self, other: Exact | int) -> Enclosure:
        low, high = ends(other)
        if low <= 0 <= high:
            raise _division_by_zero(low, high)
        return self * Enclosure(1 / high, 1 / low)

    def __rtruediv__(self, other: Exact | int) -> Enclosure:
        return Enclosure(*ends(other)) / self

    def __pow__(self, exponent: int | Fraction) -> Exact:
        return power(self, Fraction(exponent))

    def __lt__(self, other: Exact | int) -> bool:
        low, high = ends(other)
        if self.high < low:
            return True
        if self.low >= high:
            return False
        raise _undecided(self, other)

    def __le__(self, other: Exact | int) -> bool:
        low, high = ends(other)
        if self.high <= low:
            return True
        if self.low > high:
            return False
        raise _undecided(self, other)

    def __gt__(self, other: Exact | int) -> bool:
        return not self <= other

    def __ge__(self, other: Exact | int) -> bool:
        return not self < other


def ends(x: Exact | int) -> tuple[Fraction, Fraction]:
    """Lower and upper end of any exact number; both are the number itself for a fraction.

    Raises:
        TypeError: for a float, which would leak rounding into an exact calculation.
    """
    if isinstance(x, Fraction):
        return x, x
    if isinstance(x, Enclosure):
        return x.low, x.high
    if isinstance(x, int):
        return Fraction(x), Fraction(x)
    raise TypeError(f"exact numbers only, not {type(x).__name__}")


def absolute(x: Exact) -> Exact:
    """The number without its sign."""
    return x.__abs__() if isinstance(x, Enclosure) else abs(x)


def square_root(x: Exact | int, bits: int = BITS) -> Exact:
    """Square root of a number that is not negative.

    Args:
        x: A fraction or an enclosure.
        bits: Significant bits of the enclosure.

    Returns:
        The root itself where it is a fraction, else an enclosure of it.

    Raises:
        BadInput: if `x` is, or may be, below zero.
    """
    return root(x, 2, bits)


def root(x: Exact | int, degree: int, bits: int = BITS) -> Exact:
    """The `degree`-th root of a number that is not negative, as `square_root` gives it.

    Raises:
        BadInput: if `x` is, or may be, below zero, or `degree` is below 1.
    """
    low, high = ends(x)
    if low < 0:
        raise BadInput(fact("errors_quantity.root_of_negative", number=str(low)))
    if degree < 1:
        raise BadInput(fact("errors_quantity.degree_of_root", degree=degree))
    result: Exact = low if low == high else Enclosure(low, high)
    for prime in _prime_factors(degree):
        result = _prime_root(result, prime, bits)
    return result


def power(x: Exact | int, exponent: Fraction | int, bits: int = BITS) -> Exact:
    """A number to a rational power, by integer roots.

    Args:
        x: A fraction or an enclosure; not negative unless the exponent is whole.
        exponent: Any fraction, such as 29/40 for 0.725.
        bits: Significant bits of the enclosure.

    Returns:
        A fraction where the power is one, else an enclosure.

    Raises:
        BadInput: for a root of a negative number.
        ZeroDivisionError: for zero to a negative power.
    """
    exponent = Fraction(exponent)
    if exponent < 0:
        reciprocal = power(x, -exponent, bits)
        return 1 / reciprocal
    if exponent == 0:
        return Fraction(1)
    base = root(x, exponent.denominator, bits + GUARD_BITS) if exponent.denominator > 1 else x
    low, high = ends(base)
    whole = exponent.numerator
    if low == high:
        return low**whole
    if low >= 0:
        below, above = (
            _whole_power(low, whole, bits + GUARD_BITS).low,
            _whole_power(high, whole, bits + GUARD_BITS).high,
        )
        return _outward(below, above, bits)
    corners = [low**whole, high**whole]
    if low < 0 < high and whole % 2 == 0:
        corners.append(Fraction(0))
    return _outward(min(corners), max(corners), bits)


def _whole_power(x: Fraction, exponent: int, bits: int) -> Enclosure:
    """A number that is not negative to a whole power, shortened on the way."""
    result, square = Enclosure(Fraction(1), Fraction(1)), Enclosure(x, x)
    while exponent:
        if exponent % 2:
            result = _outward(result.low * square.low, result.high * square.high, bits)
        square = _outward(square.low**2, square.high**2, bits)
        exponent //= 2
    return result


def _prime_root(x: Exact, prime: int, bits: int) -> Exact:
    low, high = ends(x)
    if low == high:
        numerator, denominator = _integer_root(low.numerator, prime), _integer_root(low.denominator, prime)
        if numerator**prime == low.numerator and denominator**prime == low.denominator:
            return Fraction(numerator, denominator)
    below, _ = _root_between(low, prime, bits)
    _, above = _root_between(high, prime, bits)
    return Enclosure(below, above)


def _root_between(x: Fraction, prime: int, bits: int) -> tuple[Fraction, Fraction]:
    if x == 0:
        return Fraction(0), Fraction(0)
    size = x.numerator.bit_length() - x.denominator.bit_length()
    shift = max(0, bits - size // prime + 2)
    scaled = (x.numerator << (shift * prime)) // x.denominator
    below = _integer_root(scaled, prime)
    return Fraction(below, 1 << shift), Fraction(below + 1, 1 << shift)


def _integer_root(n: int, degree: int) -> int:
    """Largest whole number whose power `degree` is at most `n`."""
    if degree == 2:
        return isqrt(n)
    if n == 0:
        return 0
    guess = 1 << -(-n.bit_length() // degree)
    while True:
        better = ((degree - 1) * guess + n // guess ** (degree - 1)) // degree
        if better >= guess:
            return guess
        guess = better


def _outward(low: Fraction, high: Fraction, bits: int) -> Enclosure:
    """The same interval with shorter ends, never narrower."""
    largest = max(abs(low), abs(high))
    shift = bits + 2 - (largest.numerator.bit_length() - largest.denominator.bit_length())
    scale = Fraction(2) ** shift
    below, above = low * scale, high * scale
    return Enclosure((below.numerator // below.denominator) / scale, -(-above.numerator // above.denominator) / scale)


def _prime_factors(n: int) -> list[int]:
    factors, divisor = [], 2
    while divisor * divisor <= n:
        while n % divisor == 0:
            factors.append(divisor)
            n //= divisor
        divisor += 1
    return [*factors, n] if n > 1 else factors


def _undecided(x: Enclosure, other: object) -> Undecided:
    return Undecided(fact("errors_quantity.not_compared", low=str(x.low), high=str(x.high), other=str(other)))


def _division_by_zero(low: Fraction, high: Fraction) -> Exception:
    if low == high:
        return ZeroDivisionError("division by zero")
    return Undecided(fact("errors_quantity.divisor_may_be_zero", low=str(low), high=str(high)))
