"""The answer to which each mistake leads in a part, and which of them can't be told apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from calclib.chains.chain import Chain
from calclib.chains.factors import without_doses
from calclib.faults import wording
from calclib.faults.decisions import DECISION_KINDS
from calclib.faults.likelihood import ALWAYS_WRONG, CORE
from calclib.items.item import ItemPart
from calclib.items.mistakes.fault_classes import (
    FARTHEST,
    FARTHEST_NAMED,
    DrawnFaults,
    FaultClass,
    Mark,
    mark_of,
    within,
)
from calclib.items.part_units import ONE, in_part_unit, in_step_unit, unit_factor
from calclib.items.recorded.fault_result import FaultResult
from calclib.models.model import SETUP, ItemModel, PartModel
from calclib.quantity.enclosure import Enclosure
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.writing import has_finite_decimals, write_unit
from calclib.wording.facts import Fact, fact

NEGLIGIBLE = 20
"""A rounding that changes a value by less than one part in so many."""


def fault_results(
    part: ItemPart, model: PartModel, chain: Chain, classes: Iterable[FaultClass], *, whole: bool
) -> tuple[tuple[FaultResult, ...], list[FaultClass], list[Fact]]:
    """What each fault leads to in a part, those that lead too far, and which hard faults can't be told apart.

    Args:
        part: The part.
        model: Its description in the model.
        chain: The compiled chain.
        classes: The faults of the step that it asks, with the value to which each leads.
        whole: Whether all are wanted even if two can't be told apart, and then each stands for itself; else the first
            two end the search.
    """
    factor = _factor(part, model, chain)
    found: dict[Mark, _Found] = {}
    coinciding: list[_Found] = []
    far: list[FaultClass] = []
    collisions: list[Fact] = []
    if part.decides:  # what was decided wrongly is said before a slip on the way that would lead there too
        classes = sorted(classes, key=lambda one: one.fault.kind not in DECISION_KINDS)
    for fault_class in classes:
        if fault_class.fault.kind in CORE and (rewarded := _called_right(part, factor, fault_class)) is not None:
            collisions.append(rewarded)
            if not whole:
                break
        result = None if fault_class.far else _result(part, factor, fault_class)
        if result is None:
            far.append(fault_class)
            continue
        other = found.setdefault(_mark(result), new := _Found(result, fault_class, []))
        if other is new:
            continue
        if result.hard and other.result.hard and part.kind != "choice":
            if _alike(new, other):
                other.also.append(result.fault)
                continue
            collisions.append(fact("draw.same_answer", first=other.result.what, second=result.what))
            if not whole:
                break
            coinciding.append(new)
        elif result.hard:
            found[_mark(result)] = new._replace(also=[other.result.fault])
    return tuple(one.whole() for one in (*found.values(), *coinciding)), far, collisions


class _Found(NamedTuple):
    """What a fault leads to, the fault, and others that lead to the same here."""

    result: FaultResult
    of: FaultClass
    also: list[str]

    def whole(self) -> FaultResult:
        """The result with the kinds of all the others, once they are known."""
        if not (self.of.others or self.also):
            return self.result
        return self.result._replace(also=(*(fault.kind for fault in self.of.others), *self.also))


def _alike(one: _Found, other: _Found) -> bool:
    """Whether two faults with one answer need not be told apart."""
    a, b = one.result, other.result
    if a.fault == b.fault and a.step == b.step and a.given == b.given:
        return True
    if one.of.but_for_rounding == other.of.but_for_rounding is not None:
        return True
    return a.value == b.value and _at_one(a.fault, b.fault)


def _called_right(part: ItemPart, factor: Fraction, fault_class: FaultClass) -> Fact | None:
    """Why a misconception is called right here: its number is the key, or less than one step of rounding away."""
    fault, value = fault_class.fault, fault_class.value
    if isinstance(value, str) or part.kind != "quantity" or part.rule is None:
        return None
    exact, right = value if factor is ONE else value * factor, part.exact
    if not isinstance(exact, Fraction) or not isinstance(right, Fraction):
        return None
    # Whole numbers, over the common denominator: this runs for every misconception of every draw.
    top, bottom = exact.as_integer_ratio()
    over, under = right.as_integer_ratio()
    apart = abs(top * under - over * bottom)
    if not apart and fault.kind not in ALWAYS_WRONG:
        return None
    step = part.rule.step_at(right)
    if apart * step.denominator < step.numerator * bottom * under or part.rule.rounded(exact) == part.key:
        return fact("draw.called_right", mistake=fault.what)
    return None


def with_rarer_faults(
    parts: Sequence[ItemPart], far: Sequence[Sequence[FaultClass]], model: ItemModel, faults: DrawnFaults
) -> list[ItemPart]:
    """Return the parts with all their faults, also those of a student who goes on from rounded earlier answers.

    Args:
        parts: The parts with the faults that tell draws apart.
        far: For each part the faults that lead too far for that.
        model: The item model.
        faults: The faults of the draw.
    """
    chain = faults.ready.chain
    result = []
    for part, part_model, farther in zip(parts, model.parts, far, strict=True):
        if part.kind == SETUP:
            result.append(part)
            continue
        asks = part_model.asks
        found = _with_rarer(part, part_model, chain, (*farther, *faults.classes(asks, spare=True)))
        entered = {
            other.asks: in_step_unit(earlier.key, other, chain)
            for other, earlier in zip(model.parts, parts, strict=True)
            if other.name in part_model.from_entered and earlier.key is not None
        }
        if any(value != faults.done[name] for name, value in entered.items()):
            onward = [one for spare in (False, True) for one in faults.going_on(asks, entered, spare=spare)]
            kept = {_mark(fault) for fault in found}
            more = _with_rarer(part._replace(faults=()), part_model, chain, onward)
            found = (*found, *(fault for fault in more if _mark(fault) not in kept))
        result.append(part._replace(faults=found))
    return result


def _with_rarer(
    part: ItemPart, model: PartModel, chain: Chain, classes: Sequence[FaultClass]
) -> tuple[FaultResult, ...]:
    """The faults of a part with those that are named where they fit, but are no reason to refuse a draw."""
    factor = _factor(part, model, chain)
    results: dict[Mark, FaultResult] = {}
    # Two that lead to one answer by coincidence are both kept.
    coinciding = [fault for fault in part.faults if results.setdefault(_mark(fault), fault) is not fault]
    for fault_class in classes:
        result = _result(part, factor, fault_class, FARTHEST_NAMED, spare=True)
        if result is None:
            continue
        other = results.setdefault(mark := _mark(result), result)
        if other is not result:
            results[mark] = other._replace(also=(*other.also, result.fault))
    for result in _unconverted(part, model, chain):
        results.setdefault(_mark(result), result)
    return (*results.values(), *coinciding)


def _unconverted(part: ItemPart, model: PartModel, chain: Chain) -> Iterator[FaultResult]:
    """The answer left in the unit of its step where another is asked, or converted the wrong way."""
    if part.kind != "quantity" or part.rule is None or not isinstance(part.exact, Fraction):
        return
    factor = unit_factor(chain.unit(model.asks), model.unit)
    if factor is None or factor == ONE:
        return
    have = write_unit(str(without_doses(chain.unit(model.asks))))
    for exact, kind, what in (
        (part.exact / factor, "conversion left out", wording.answer_unconverted(have)),
        (part.exact / factor**2, "conversion inverted", wording.answer_converted_wrong(have)),
    ):
        written = as_written(exact, part.rule)
        if written != part.key:
            yield FaultResult(kind, model.asks, "", what, exact, written, None, True, (), True)


def _mark(result: FaultResult) -> Mark:
    """What a student writes down, by which faults are told apart."""
    written = result.choice if result.choice is not None else result.written
    assert written is not None
    return mark_of(written)


def _at_one(fault: str, other: str) -> bool:
    """Whether two faults that come to one value may be named together.

    A value may be taken for another by any mistake. Leaving out a factor of 10, as of tubing with 10 gtt/mL, is a slip
    of the decimal point too: to refuse such draws would leave the commonest tubing out of all items.
    """
    left_out = {"left out", "amount left out", "volume left out"}
    return "wrong value" in (fault, other) or ("decimal slip" in (fault, other) and bool(left_out & {fault, other}))


def _factor(part: ItemPart, model: PartModel, chain: Chain) -> Fraction:
    """The number that leads from the unit of the step that a part asks to the unit of its answer."""
    factor = in_part_unit(ONE, model, chain) if part.kind == "quantity" else ONE
    assert isinstance(factor, Fraction)
    return factor


def _result(
    part: ItemPart, factor: Fraction, fault_class: FaultClass, farthest: int = FARTHEST, *, spare: bool = False
) -> FaultResult | None:
    fault, value, others = fault_class.fault, fault_class.value, fault_class.others
    also = tuple([other.kind for other in others]) if others else ()
    if isinstance(value, str):
        if value == part.accepted_choice:
            return None
        return FaultResult(fault.kind, fault.step, fault.given, fault.what, None, None, value, True, also, spare)
    assert part.rule is not None and part.key is not None
    exact = value if factor is ONE else value * factor
    if isinstance(exact, Enclosure):
        exact = exact.middle.limit_denominator(10**12)
    if part.kind == "clock":
        written = part.rule.rounded(exact)
        hard = written % 1440 != part.key % 1440
    else:
        right = part.exact if isinstance(part.exact, Fraction) else part.key
        if exact.numerator <= 0 or (right.numerator > 0 and not within(exact, right, farthest)):
            return None
        written = as_written(exact, part.rule)
        hard = mark_of(written) != mark_of(part.key)
    if (not hard or mark_of(exact) == mark_of(part.key)) and (exact == part.exact or exact == part.key):
        return None
    return FaultResult(fault.kind, fault.step, fault.given, fault.what, exact, written, None, hard, also, spare)


def as_written(value: Fraction, rule: RoundingRule) -> Fraction:
    """Return a value as a student who rounds by the rule would write it.

    Where the rule would change a small value by more than a twentieth, or does not end the decimals, three digits are
    kept instead.
    """
    rounded = rule.rounded(value)
    # Whole numbers, over the common denominator: this runs for every mistake of every draw.
    was, now = value.numerator * rounded.denominator, rounded.numerator * value.denominator
    if abs(now - was) * NEGLIGIBLE <= abs(was) and has_finite_decimals(rounded):
        return rounded
    return _three_digits(value)


def _three_digits(value: Fraction) -> Fraction:
    """A value with its first three digits, an exact half rounded up."""
    top, bottom = abs(value).as_integer_ratio()
    if not top:
        return value
    places = 3 - len(str(top // bottom)) if top >= bottom else 1 + len(str(bottom // top))
    while top * 10**places < 100 * bottom if places >= 0 else top < 100 * bottom * 10**-places:
        places += 1
    up, down = (10**places, 1) if places >= 0 else (1, 10**-places)
    over, under = value.numerator * up, value.denominator * down
    return Fraction((2 * over + under) // (2 * under) * down, up)
