"""Which mistakes lead to a wrong answer, and how sure that is."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from itertools import islice

from calclib.answers.diagnosis.certainty import FIGURES, common_pair, is_telling, is_usual, significant
from calclib.answers.diagnosis.miscopied import as_digits, is_miscopied, miscopied_times, miscopied_values
from calclib.answers.diagnosis.slips import one_figure, rounded_too_far, slip_of_finger
from calclib.answers.verdict import Cause
from calclib.faults import wording
from calclib.items.item import ItemPart, StatedGiven
from calclib.items.recorded.fault_result import FaultResult, RecordedFaults
from calclib.wording.facts import fact, of_kind

MOST_CAUSES = 3
ONE = Fraction(1)
ONE_PLACE = 10
FINER = 200
MISCOPIED = "misread number"
DECIMAL_SLIP = "decimal slip"
SLIP = "slip of the finger"
GUESSES = frozenset({SLIP, MISCOPIED, "number restated", "rounded too far", "two mistakes"})
"""What is said of a number to which no listed mistake leads."""
DAY = 1440
HOUR = 60
TYPED_WRONGLY = fact("mistake.mistyped")
WHOLE_HOURS = Cause("hour miscounted", "", "", False, fact("mistake.minutes_beyond_hours"))
COPIED = Cause("number restated", "", "", False, fact("mistake.number_restated"))
ROUNDED_EARLY = "rounded early"


# Kinds that say much the same of an answer; naming one is enough.
_FAMILY = {
    kind: family
    for family, kinds in {
        "conversion": ("conversion left out", "used unconverted"),
        "left out": (
            "left out",
            "amount left out",
            "volume left out",
            "term left out",
            "day for dose",
            "change for new value",
        ),
        "turned": ("inverted", "strength inverted", "divided the wrong way", "conversion inverted"),
    }.items()
    for kind in kinds
}
ALSO_NAMED = frozenset(
    {
        "decimal slip",
        "term left out",
        "wrong sign",
        "left out",
        "limit ignored",
        "wrong given",
        "inverted",
        "divided the wrong way",
        "conversion left out",
        "conversion inverted",
        "used unconverted",
        "strength inverted",
        "amount left out",
        "volume left out",
        "one rate for all",
        "wrong row",
        "counted backwards",
        "decimal hours",
        "root forgotten",
        "percent misread",
        "diluent for final volume",
        "part for rest",
        "change for new value",
        "hundred minutes",
        "hour miscounted",
        "wrong value",
        "wrong factor",
        "wrong measure",
        "added for multiplied",
        "clock as number",
        "doses miscounted",
        "first rate only",
        "rest not taken",
        "counted in",
        "rounded down",
    }
)
"""Kinds that are named where another mistake leads to the same answer."""


def causes_of(
    part: ItemPart,
    value: Fraction,
    decimals: int | None,
    factor: Fraction = ONE,
    stated: Container[Fraction] = frozenset(),
    givens: Sequence[StatedGiven] = (),
    *,
    doubtful: bool = False,
) -> tuple[Cause, ...]:
    """Return the mistakes that lead to a wrong number, the likeliest first.

    A listed mistake that leads to the number is all that is said of it. Only where there is none, the last guesses
    follow: a value copied wrongly, two common mistakes at once, a slip of the finger; they are only ever a question.

    Args:
        part: The part that asks.
        value: The wrong number in the unit asked.
        decimals: Digits typed after the point, in the unit typed; None for fractions and arithmetic.
        factor: What turned the typed number into the unit asked.
        stated: Numbers of the stem: one of them as an answer may as well be a number that was copied.
        givens: The givens of the item, of which one may have been copied wrongly.
        doubtful: Whether something else than a mistake of the set-up explains the number too.
    """
    if value <= 0:
        return ()
    leading, near = _leading_to(part, value, decimals, factor)
    found = leading or near
    copied = value / factor in stated
    guesses = _Guesses(part, value, decimals, factor, givens)
    slipped = _slipped_point(part, value)
    if found:
        others = other_kinds(found)
        named = {*(f.fault for f in found), *(c.fault for c in others)}
        if slipped is not None and DECIMAL_SLIP not in named:
            others = (*others, replace(slipped, certain=False))
        if copied:
            others = (*others, COPIED)
        alone = len({*leading, *near}) == 1 and not others and not doubtful and not copied
        certain = alone and may_be_certain(found[0], value) and guesses.nothing_fits()
        return (*(cause_of(f, certain) for f in found[:MOST_CAUSES]), *others)
    if slipped is not None:
        sure = slipped.certain and not copied and significant(value) >= FIGURES - 1
        return (replace(slipped, certain=sure), *((COPIED,) if copied else ()))
    if copied:
        return (COPIED,)
    return (WHOLE_HOURS,) if _whole_hours(part, value) else guesses.best()


def _whole_hours(part: ItemPart, value: Fraction) -> bool:
    """Whether a time in minutes is the right one without what is beyond its whole hours."""
    if part.unit != "min" or not isinstance(part.exact, Fraction):
        return False
    return value > 0 and value == (part.exact / HOUR).__floor__() * HOUR


def clock_causes(part: ItemPart, minutes: int, givens: Sequence[StatedGiven]) -> tuple[Cause, ...]:
    """Return the mistakes that lead to a wrong time of day, the likeliest first.

    Args:
        part: The part that asks for a time.
        minutes: The time as typed, in minutes after midnight.
        givens: The givens of the item, of which one may have been copied wrongly.
    """
    assert part.key is not None
    found = [f for f in part.faults if f.written is not None and f.written % DAY == minutes]
    if found:
        others = other_kinds(found)
        certain = len(found) == 1 and not others and is_usual(found[0])
        return (*(cause_of(f, certain) for f in found[:MOST_CAUSES]), *others)
    if abs(minutes - int(part.key) % DAY) == DAY // 2:
        return ()
    typed = is_miscopied(as_digits(int(part.key) % DAY), as_digits(minutes))
    copied = tuple(miscopied_times(part, minutes, givens))
    if copied:
        slip = Cause(SLIP, "", "", False, TYPED_WRONGLY) if typed else None
        return (miscopied_cause(copied, slip),)
    return (Cause(SLIP, "", "", False, TYPED_WRONGLY),) if typed else ()


class _Guesses:
    """What else may have led to a number than one listed mistake."""

    def __init__(
        self, part: ItemPart, value: Fraction, decimals: int | None, factor: Fraction, givens: Sequence[StatedGiven]
    ) -> None:
        self._part, self._value, self._givens = part, value, givens
        self._decimals = decimals if factor == ONE else None
        self._place = factor * Fraction(1, 10**decimals) if decimals is not None else Fraction(0)
        if decimals is not None and part.rule is not None:
            step = part.rule.bands[-1].step
            self._place = max(self._place, step if step and (value / step).denominator == 1 else Fraction(0))

    def nothing_fits(self) -> bool:
        """Tell whether no slip, no value copied wrongly and no two common mistakes lead to the number."""
        return self.slip is None and not self.miscopied and common_pair(self._part, self._value) is None

    @cached_property
    def slip(self) -> Cause | None:
        """The slip of the finger."""
        return slip_of_finger(self._part, self._value, self._decimals)

    @cached_property
    def miscopied(self) -> tuple[tuple[StatedGiven, str, str], ...]:
        """Values copied wrongly that lead to the number."""
        found = miscopied_values(self._part, self._value, self._place, self._givens)
        return tuple(islice(found, MOST_CAUSES))

    def best(self) -> tuple[Cause, ...]:
        """The likeliest of them, a slip of the finger last."""
        if rounded_too_far(self._part, self._value):
            return (Cause("rounded too far", "", "", False, fact("mistake.rounded_too_far")),)
        if self.miscopied:
            return (miscopied_cause(self.miscopied, self.slip),)
        slip = None if self.slip is None or one_figure(self._part) else self.slip
        if slip is not None:
            return (slip,)
        pair = common_pair(self._part, self._value)
        if pair is not None:
            what = wording.both(pair[0].what, pair[1].what)
            return (Cause("two mistakes", pair[0].step, pair[0].given, False, what),)
        return () if self.slip is None else (self.slip,)


def miscopied_cause(found: Sequence[tuple[StatedGiven, str, str]], slip: Cause | None) -> Cause:
    """Return a value copied wrongly as a cause; where a slip of the finger fits too, it is named in the same breath."""
    given = found[0][0]
    names = {g.name for g, _, _ in found}
    if slip is not None:
        return Cause(slip.fault, "", "", False, fact("mistake.misread_or_mistyped"), (MISCOPIED,))
    if len(names) > 1:
        return Cause(MISCOPIED, "", "", False, fact("mistake.number_misread"))
    return Cause(MISCOPIED, "", given.name, False, fact("mistake.digit_misread", phrase=given.says))


def _leading_to(
    part: ItemPart, value: Fraction, decimals: int | None, factor: Fraction
) -> tuple[list[FaultResult], list[FaultResult]]:
    """Faults that lead to a number as it is written by the rule, and those that do with other digits."""
    step = part.rule.bands[-1].step if part.rule is not None else Fraction(0)
    near: Sequence[FaultResult] = part.faults
    if isinstance(part.faults, RecordedFaults):
        near = part.faults.near(value, max(step, value / FINER))
    leading = [fault for fault in near if fault.written == value or by_rule(part, fault, value)]
    finely = [f for f in near if f not in leading and f.value is not None and finer(f, value, decimals, factor)]
    return leading, finely


def other_kinds(found: Sequence[FaultResult]) -> tuple[Cause, ...]:
    """Return mistakes of another kind that lead to the answer of the first one.

    Leaving out a factor of 10 is a slip of the point too.

    Args:
        found: The mistakes that lead to the answer.
    """
    first = found[0]
    families = {_family(f.fault) for f in found}
    others: dict[str, Cause] = {}
    for kind in first.also:
        family = _family(kind)
        if family not in families and kind in ALSO_NAMED:
            others.setdefault(family, Cause(kind, first.step, "", False, of_kind("also", kind)))
    return tuple(others.values())


def may_be_certain(fault: FaultResult, value: Fraction) -> bool:
    """Return whether a mistake that alone leads to a number is common enough, and the number long enough, to be said.

    Args:
        fault: The mistake.
        value: The number in the unit asked.
    """
    return is_usual(fault) and is_telling(fault, value)


def by_rule(part: ItemPart, fault: FaultResult, value: Fraction) -> bool:
    """Return whether a fault leads to a number that is rounded by the rule even where that changes it much."""
    if fault.value is None or part.rule is None:
        return False
    step = part.rule.bands[-1].step
    return _within(fault.value, value, step) and part.rule.rounded(fault.value) == value


def _within(first: Fraction, second: Fraction, distance: Fraction) -> bool:
    """Whether two numbers are so near. Whole numbers throughout: each fault of each wrong answer passes here."""
    below = first.denominator * second.denominator
    apart = abs(first.numerator * second.denominator - second.numerator * first.denominator)
    return apart * distance.denominator <= distance.numerator * below


def _near(first: Fraction, second: Fraction, parts: int) -> bool:
    """Whether two numbers differ by no more than one of so many parts of the second."""
    apart = abs(first.numerator * second.denominator - second.numerator * first.denominator)
    return apart * parts <= abs(second.numerator) * first.denominator


def _slipped_point(part: ItemPart, value: Fraction) -> Cause | None:
    """The right answer with its decimal point one place off, or two, which is less often a slip."""
    assert part.key is not None
    if not part.key:
        return None
    ratio = value / part.key
    for places in (ONE_PLACE, 100):
        if ratio == places or ratio * places == 1:
            what = wording.point_slipped("answer", large=ratio > 1)
            return Cause(DECIMAL_SLIP, "", "", places == ONE_PLACE, what)
    return None


def finer(fault: FaultResult, value: Fraction, decimals: int | None, factor: Fraction = ONE) -> bool:
    """Return whether a number is what a fault leads to, written with at least three digits or in full."""
    assert fault.value is not None
    if value == fault.value:
        return True
    if decimals is None or not _near(fault.value, value, FINER):
        return False
    place = factor * Fraction(1, 10**decimals)
    scaled = fault.value / place
    return value in ((scaled + Fraction(1, 2)).__floor__() * place, scaled.__floor__() * place)


def cause_of(found: FaultResult, certain: bool) -> Cause:
    """Return a mistake as a cause.

    Args:
        found: The mistake.
        certain: Whether nothing else leads to the answer.
    """
    alike = dict.fromkeys(k for k in found.also if k != found.fault and _family(k) == _family(found.fault))
    return Cause(found.fault, found.step, found.given, certain, found.what, tuple(alike))


def _family(kind: str) -> str:
    return _FAMILY.get(kind, kind)
