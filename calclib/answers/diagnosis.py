"""Which mistakes lead to a wrong answer, and how sure that is."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

from calclib.answers.verdict import Cause
from calclib.faults import wording
from calclib.items.fault_results import as_written
from calclib.items.item import FaultResult, ItemPart, RecordedFaults
from calclib.quantity.writing import has_finite_decimals, write_number

MOST_CAUSES = 3
ONE = Fraction(1)
ONE_PLACE = 10
ROUNDED_EARLY = "rounded early"


# Kinds that say much the same of an answer; naming one is enough.
_FAMILY = {
    kind: family
    for family, kinds in {
        "conversion": ("conversion left out", "used unconverted"),
        "left out": ("left out", "amount left out", "volume left out", "term left out"),
        "turned": ("inverted", "strength inverted", "divided the wrong way", "conversion inverted"),
    }.items()
    for kind in kinds
}
_ALSO_SAYS = {
    "decimal slip": "a decimal point slipped",
    "term left out": "a part of the sum was left out",
    "wrong sign": "something was added instead of subtracted, or the reverse",
    "left out": "a value was left out",
    "limit ignored": "the limit was not applied",
    "wrong given": "another value of the problem was used",
    "inverted": "a value was multiplied instead of divided, or the reverse",
    "divided the wrong way": "a division was set up the wrong way around",
    "conversion left out": "a conversion was left out",
    "conversion inverted": "a conversion was done in the wrong direction",
    "used unconverted": "a value was not converted to the unit that is needed",
    "strength inverted": "the strength was turned upside down",
    "amount left out": "a value was left out",
    "volume left out": "a value was left out",
    "one rate for all": "one rate was used for the whole value",
    "wrong row": "the wrong row of the table was read",
    "counted backwards": "the time was counted in the wrong direction",
    "decimal hours": "the decimal part of the hours was read as minutes",
    "root forgotten": "the square root was not taken",
}


def causes_of(
    part: ItemPart,
    value: Fraction,
    decimals: int | None,
    factor: Fraction = ONE,
    stated: Container[Fraction] = frozenset(),
    *,
    doubtful: bool = False,
) -> tuple[Cause, ...]:
    """Return the mistakes that lead to a wrong number, the likeliest first.

    A single mistake is certain if no other leads to the number and no slip of the finger does; a rare one, and two
    mistakes together, are only ever a question.

    Args:
        part: The part that asks.
        value: The wrong number in the unit asked.
        decimals: Digits typed after the point, in the unit typed; None for fractions and arithmetic.
        factor: What turned the typed number into the unit asked.
        stated: Numbers of the stem: one of them as an answer may as well be a number that was copied.
        doubtful: Whether something else than a mistake of the set-up explains the number too.
    """
    if value <= 0:
        return ()
    found = _leading_to(part, value)
    if not found and (slipped := _slipped_point(part, value)) is not None:
        return (slipped if value / factor not in stated else replace(slipped, certain=False),)
    if not found:
        found = [f for f in part.faults if f.value is not None and finer(f, value, decimals, factor)]
    slip = slip_of_finger(part, value)
    if found:
        others = other_kinds(found)
        alone = len(found) == 1 and not others and slip is None and not doubtful
        certain = alone and _is_telling(found[0], value) and value / factor not in stated
        causes = tuple(cause_of(f, certain) for f in found[:MOST_CAUSES])
        return (*causes, *others, *((slip,) if slip else ()))
    if slip and not _one_figure(part):
        return (slip,)
    return tuple(_two_mistakes(part, value))


def _leading_to(part: ItemPart, value: Fraction) -> list[FaultResult]:
    """Faults that lead to the number as it is written by the rule."""
    step = part.rule.bands[-1].step if part.rule is not None else Fraction(0)
    near = part.faults.near(value, step) if isinstance(part.faults, RecordedFaults) else part.faults
    return [fault for fault in near if fault.written == value or by_rule(part, fault, value)]


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
        if family not in families and kind in _ALSO_SAYS:
            others.setdefault(family, Cause(kind, first.step, "", False, _ALSO_SAYS[kind]))
    return tuple(others.values())


def _is_telling(fault: FaultResult, value: Fraction) -> bool:
    """Whether a number has enough figures to tell mistakes apart: 30 for 28.7 could be many things."""
    figures = len(_digits(value).replace(".", "").strip("0"))
    return not (fault.spare or fault.fault == ROUNDED_EARLY) and (figures > 2 or (figures > 1 and fault.value == value))


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
            says = wording.point_slipped("answer", large=ratio > 1)
            return Cause("decimal slip", "", "", places == ONE_PLACE, says)
    return None


def finer(fault: FaultResult, value: Fraction, decimals: int | None, factor: Fraction = ONE) -> bool:
    """Return whether a number is what a fault leads to, written with at least three digits or in full."""
    assert fault.value is not None
    if value == fault.value:
        return True
    if decimals is None or not _near(fault.value, value, 200):
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
    return Cause(found.fault, found.step, found.given, certain, found.says, tuple(alike))


def _family(kind: str) -> str:
    return _FAMILY.get(kind, kind)


def slip_of_finger(part: ItemPart, value: Fraction) -> Cause | None:
    """Return the slip that turns the key into a number: one digit typed wrongly, two exchanged, one lost or doubled."""
    assert part.key is not None
    key, typed = _digits(part.key), _digits(value)
    if not key or not typed or key.replace(".", "").strip("0") == typed.replace(".", "").strip("0"):
        return None
    return _slip_within(*_aligned(key, typed)) or _slip_of_length(key, typed)


def _aligned(first: str, second: str) -> tuple[str, str]:
    """Two numerals with their points one below the other: 10.5 and 10 are 10.5 and 10.0."""
    wholes, parts = zip(*((w, p) for w, _, p in (first.partition("."), second.partition("."))), strict=True)
    before, after = max(map(len, wholes)), max(map(len, parts))
    return tuple(w.rjust(before, "0") + p.ljust(after, "0") for w, p in zip(wholes, parts, strict=True))


def _slip_within(key: str, typed: str) -> Cause | None:
    wrong = [i for i in range(len(key)) if key[i] != typed[i]]
    if len(wrong) == 1:
        return _slip("one digit differs from the right answer")
    if len(wrong) == 2 and wrong[1] == wrong[0] + 1:
        first, second = wrong
        if key[first] + key[second] == typed[second] + typed[first]:
            return _slip("two digits of the right answer are exchanged")
    return None


def _slip_of_length(key: str, typed: str) -> Cause | None:
    longer, shorter = (key, typed) if len(key) > len(typed) else (typed, key)
    if len(longer) != len(shorter) + 1 or "." in key + typed or len(shorter) < 2:
        return None
    for i in range(1, len(longer)):
        lost = longer[:i] + longer[i + 1 :] == shorter and longer[i] == longer[i - 1]
        if lost and (longer[i] != "0" or longer is key):
            return _slip("a digit of the right answer is lost or doubled")
    return None


def _one_figure(part: ItemPart) -> bool:
    """Whether the key is one digit and zeros: then every other digit would be a slip of the finger."""
    assert part.key is not None
    return len(_digits(part.key).replace(".", "").strip("0")) < 2


def _slip(says: str) -> Cause:
    return Cause("slip of the finger", "", "", False, says)


def _digits(value: Fraction) -> str:
    return write_number(value).replace(",", "") if value.denominator <= 10**6 and has_finite_decimals(value) else ""


def _two_mistakes(part: ItemPart, value: Fraction) -> Iterator[Cause]:
    """Pairs of mistakes in different places that multiply to the number, at most one, and only as a question."""
    if not part.only_products or part.rule is None or not isinstance(part.exact, Fraction) or not part.exact:
        return
    hard = [(f, f.value.numerator, f.value.denominator) for f in part.faults if f.hard and f.value and not f.spare]
    above, below = part.exact.denominator * value.denominator, part.exact.numerator * value.numerator
    for (first, top, bottom), (second, other_top, other_bottom) in combinations(hard, 2):
        # Both together come near the number: the product of their values over the right one.
        product, wanted = top * other_top * above, bottom * other_bottom * below
        if abs(product - wanted) * 20 > wanted or first.given == second.given:
            continue
        assert first.value is not None and second.value is not None
        if as_written(first.value * second.value / part.exact, part.rule) == value:
            says = wording.both(first.says, second.says)
            yield Cause("two mistakes", first.step, first.given, False, says)
            return
