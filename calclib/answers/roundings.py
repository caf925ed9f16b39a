"""How a typed number was rounded from an exact value: one classification for every part and every policy."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from calclib.quantity.enclosure import Exact, Undecided, ends
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.writing import decimals_of, has_finite_decimals

Kind: TypeAlias = Literal[
    "finer_than_asked", "unrounded", "cut_off", "wrong_direction", "too_few_digits", "rounded_on_the_way"
]
Manner: TypeAlias = Literal["in full", "rounded", "cut off"]

# A number with fewer digits than asked, and a result on the way, may change by one twentieth: more is another number.
NEAREST_PARTS = 20
# Of a value without end that is not to be rounded, three digits are the fewest: half a hundredth at most.
ENDLESS_PARTS = 200


@dataclass(frozen=True)
class Rounding:
    """How the right value was rounded where it was not rounded as asked.

    Args:
        kind: `finer_than_asked` shows more digits than asked, rightly; `unrounded` is a value without end that is not
            to be rounded; `cut_off` and `wrong_direction` have the digits asked, the value next below and next above;
            `too_few_digits` shows fewer; `rounded_on_the_way` follows from a result on the way that was rounded.
        manner: Whether the digits shown are the value in full, rounded, or cut off.
        step: The result that was rounded on the way, in words.
        decimals: The digits after the point to which it was rounded there, None where another rule says it.
    """

    kind: Kind
    manner: Manner | None = None
    step: str = ""
    decimals: int | None = None


@dataclass(frozen=True)
class TypedNumber:
    """A number as it was typed.

    Args:
        value: The number in the unit asked.
        decimals: Digits typed after the point, in the unit typed; None for fractions and arithmetic.
        factor: What turned the typed number into the unit asked.
    """

    value: Fraction
    decimals: int | None
    factor: Fraction = Fraction(1)

    @property
    def place(self) -> Fraction | None:
        """The worth of the last digit that the number shows, in the unit asked; zeros at the end show nothing."""
        if self.decimals is None:
            return None
        typed = self.value / self.factor
        shown = min(self.decimals, decimals_of(typed)) if has_finite_decimals(typed) else self.decimals
        return self.factor * Fraction(1, 10**shown)


def rounding_of(exact: Exact, rule: RoundingRule, typed: TypedNumber) -> Rounding | None:
    """Return how a number was rounded from an exact value; None if it is not that value, nor the value rounded.

    The value as the rule rounds it is none of these: whoever asks has accepted it before. A value that needs no
    rounding has no neighbors: 50 units for 48 units is another amount, whatever was done to reach it.

    Args:
        exact: The exact value in the unit asked.
        rule: How the answer is rounded.
        typed: The number.
    """
    if not typed.value or not _same_sign(exact, typed.value):
        return None
    step = rule.step_at(ends(exact)[0])
    if needs_no_rounding(exact, step, typed.factor):
        return None
    return _finer(exact, step, typed) or _beside(exact, step, typed) or _coarser(exact, step, typed)


def needs_no_rounding(exact: Exact, step: Fraction, factor: Fraction = Fraction(1)) -> bool:
    """Tell whether a value has the digits asked as it is, in the unit in which it was typed too.

    Args:
        exact: The exact value in the unit asked.
        step: The rounding step; 0 where nothing is rounded.
        factor: What turns a number in the unit typed into the unit asked.
    """
    if not isinstance(exact, Fraction) or not has_finite_decimals(exact / factor):
        return False
    return not step or (exact / step).denominator == 1


def shortened(exact: Exact, typed: TypedNumber, parts: int = 0) -> Manner | None:
    """Return how a number is an exact value to the digits that it shows; None if it is not.

    Args:
        exact: The exact value.
        typed: The number.
        parts: It may differ by one of so many parts of the value; 0 for as much as its digits allow.
    """
    if isinstance(exact, Fraction) and typed.value == exact:
        return "in full"
    if (place := typed.place) is None or (parts and not _near(exact, typed.value, parts)):
        return None
    return _written(exact, typed.value, place)


def _finer(exact: Exact, step: Fraction, typed: TypedNumber) -> Rounding | None:
    """The value in full, or with more digits than asked."""
    if isinstance(exact, Fraction) and typed.value == exact:
        return Rounding("finer_than_asked", "in full")
    place = typed.place
    if place is None or (step and place >= step):
        return None
    manner = shortened(exact, typed, 0 if step else ENDLESS_PARTS)
    return Rounding("finer_than_asked" if step else "unrounded", manner) if manner else None


def _beside(exact: Exact, step: Fraction, typed: TypedNumber) -> Rounding | None:
    """One of the two multiples of the step between which the value lies."""
    if not step:
        return None
    place = typed.place
    # 1.8 mL/min for 107.1 mL/h was rounded in mL/min; zeros at the end are not written, so 107 may be 107.0.
    if place is not None and place > step and not _moves_the_point(typed.factor):
        return None
    (low, more), (number, rest) = divmod(_size(exact), step), divmod(abs(typed.value), step)
    if rest or number not in (low, low + bool(more)):
        return None
    return Rounding("cut_off", "cut off") if number == low else Rounding("wrong_direction")


def _moves_the_point(factor: Fraction) -> bool:
    """Whether a conversion only moves the decimal point."""
    return all(str(number).strip("0") == "1" for number in factor.as_integer_ratio())


def _coarser(exact: Exact, step: Fraction, typed: TypedNumber) -> Rounding | None:
    """The value rounded or cut off at fewer digits than asked."""
    shown = typed.value / typed.factor
    if not has_finite_decimals(shown) or not _near(exact, typed.value, NEAREST_PARTS):
        return None
    place = typed.factor / 10 ** decimals_of(shown)
    while place <= abs(typed.value) and not (typed.value / place).denominator > 1:
        if place > step and (manner := _written(exact, typed.value, place)):
            return Rounding("too_few_digits", manner)
        place *= 10
    return None


def _written(exact: Exact, value: Fraction, place: Fraction) -> Manner | None:
    """Whether a number is the exact value rounded, half up, or cut off at a place; whole numbers throughout."""
    low, high = ends(exact)
    typed, rest = _places(abs(value), place)
    if rest:
        return None
    if _nearest(abs(low), place) == typed == _nearest(abs(high), place):
        return "rounded"
    if _places(abs(low), place)[0] == typed == _places(abs(high), place)[0]:
        return "cut off"
    return None


def _places(value: Fraction, place: Fraction) -> tuple[int, int]:
    """How many whole places a number holds, and whether anything is left."""
    return divmod(value.numerator * place.denominator, value.denominator * place.numerator)


def _nearest(value: Fraction, place: Fraction) -> int:
    """How many places a number is when it is rounded, half a place up."""
    one = value.denominator * place.numerator
    return (2 * value.numerator * place.denominator + one) // (2 * one)


def _near(exact: Exact, value: Fraction, parts: int) -> bool:
    size = ends(exact)[0]
    return abs(value - size) * parts <= abs(size)


def _size(exact: Exact) -> Fraction:
    return abs(ends(exact)[0])


def _same_sign(exact: Exact, value: Fraction) -> bool:
    low = ends(exact)[0]
    return (low > 0) == (value > 0)


def rounded_by(rule: RoundingRule, exact: Exact) -> Fraction | None:
    """Return a value as a rule writes it; None where that can't be decided."""
    try:
        return rule.rounded(exact)
    except Undecided:
        return None
