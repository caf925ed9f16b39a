"""The answer to which each mistake leads in a part, and which of them can't be told apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from calclib.chains.chain import Chain
from calclib.chains.factors import Value, without_doses
from calclib.faults import wording
from calclib.faults.likelihood import ALWAYS_WRONG, CORE
from calclib.items.compiled import CompiledModel
from calclib.items.fault_classes import FARTHEST, FARTHEST_NAMED, FaultClass, Mark, fault_classes, mark_of, within
from calclib.items.item import FaultResult, ItemPart
from calclib.items.part_units import ONE, in_part_unit, in_step_unit, unit_factor
from calclib.models.model import SETUP, ItemModel, PartModel
from calclib.models.stated import Stated
from calclib.quantity.enclosure import Enclosure
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.writing import has_finite_decimals, write_unit

NEGLIGIBLE = 20
"""A rounding that changes a value by less than one part in so many."""


def fault_results(
    part: ItemPart, model: PartModel, chain: Chain, classes: Sequence[FaultClass], *, whole: bool
) -> tuple[tuple[FaultResult, ...], list[FaultClass], list[str]]:
    """What each fault leads to in a part, those that lead too far, and which hard faults can't be told apart.

    Args:
        part: The part.
        model: Its description in the model.
        chain: The compiled chain.
        classes: The faults of the step that it asks, with the value to which each leads.
        whole: Whether all are wanted even if two can't be told apart; else the first two end the search.
    """
    results: dict[Mark, FaultResult] = {}
    marks: dict[Mark, int | None] = {}
    far: list[FaultClass] = []
    collisions: list[str] = []
    for fault_class in classes:
        if (rewarded := _called_right(part, model, chain, fault_class)) is not None:
            collisions.append(rewarded)
            if not whole:
                break
        result = None if fault_class.far else _result(part, model, chain, fault_class)
        if result is None:
            far.append(fault_class)
            continue
        mark = _mark(result)
        other = results.get(mark)
        if other is None:
            results[mark], marks[mark] = result, fault_class.but_for_rounding
        elif result.hard and other.hard and part.kind != "choice":
            same = result.fault == other.fault and result.step == other.step and result.given == other.given
            same = same or fault_class.but_for_rounding == marks[mark] is not None
            if same or (result.value == other.value and _at_one(result.fault, other.fault)):
                results[mark] = other._replace(also=(*other.also, result.fault))
                continue
            collisions.append(f"“{other.says}” and “{result.says}” both lead to the same answer")
            if not whole:
                break
            results[mark] = other._replace(also=(*other.also, result.fault))
        elif result.hard:
            results[mark] = result._replace(also=(*result.also, other.fault))
            marks[mark] = fault_class.but_for_rounding
    return tuple(results.values()), far, collisions


def _called_right(part: ItemPart, model: PartModel, chain: Chain, fault_class: FaultClass) -> str | None:
    """Why a misconception is called right here: its number is the key, or less than one step of rounding away."""
    fault, value = fault_class.fault, fault_class.value
    if fault.kind not in CORE or isinstance(value, str) or part.kind != "quantity" or part.rule is None:
        return None
    exact, right = in_part_unit(value, model, chain), part.exact
    if not isinstance(exact, Fraction) or not isinstance(right, Fraction):
        return None
    if exact == right and fault.kind not in ALWAYS_WRONG:
        return None
    if abs(exact - right) < part.rule.step_at(right) or part.rule.rounded(exact) == part.key:
        return f"“{fault.says}” leads to an answer that is called right"
    return None


def with_rarer_faults(
    parts: Sequence[ItemPart],
    far: Sequence[Sequence[FaultClass]],
    model: ItemModel,
    ready: CompiledModel,
    stated: Mapping[str, Stated],
    done: Mapping[str, Value],
) -> list[ItemPart]:
    """Return the parts with all their faults, also those of a student who goes on from rounded earlier answers.

    Args:
        parts: The parts with the faults that tell draws apart.
        far: For each part the faults that lead too far for that.
        model: The item model.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
    """
    chain = ready.chain
    spare = fault_classes(model, ready, stated, done, spare=True)
    result = []
    for part, part_model, farther in zip(parts, model.parts, far, strict=True):
        if part.kind == SETUP:
            result.append(part)
            continue
        found = _with_rarer(part, part_model, chain, (*farther, *spare[part_model.asks]))
        entered = {
            other.asks: in_step_unit(earlier.key, other, chain)
            for other, earlier in zip(model.parts, parts, strict=True)
            if other.name in part_model.from_entered and earlier.key is not None
        }
        if any(value != done[name] for name, value in entered.items()):
            own, asks = {**done, **entered}, part_model.asks
            onward = [fault_classes(model, ready, stated, own, only=(asks,), spare=s)[asks] for s in (False, True)]
            kept = {_mark(fault) for fault in found}
            more = _with_rarer(part._replace(faults=()), part_model, chain, (*onward[0], *onward[1]))
            found = (*found, *(fault for fault in more if _mark(fault) not in kept))
        result.append(part._replace(faults=found))
    return result


def _with_rarer(
    part: ItemPart, model: PartModel, chain: Chain, classes: Sequence[FaultClass]
) -> tuple[FaultResult, ...]:
    """The faults of a part with those that are named where they fit, but are no reason to refuse a draw."""
    results = {_mark(fault): fault for fault in part.faults}
    for fault_class in classes:
        result = _result(part, model, chain, fault_class, FARTHEST_NAMED)
        if result is None:
            continue
        other = results.get(_mark(result))
        spare = result._replace(spare=True)
        results[_mark(result)] = spare if other is None else other._replace(also=(*other.also, result.fault))
    for result in _unconverted(part, model, chain):
        results.setdefault(_mark(result), result)
    return tuple(results.values())


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


def _result(
    part: ItemPart, model: PartModel, chain: Chain, fault_class: FaultClass, farthest: int = FARTHEST
) -> FaultResult | None:
    fault, value = fault_class.fault, fault_class.value
    also = tuple(f.kind for f in fault_class.others)
    if isinstance(value, str):
        if value == part.accepted_choice:
            return None
        return FaultResult(fault.kind, fault.step, fault.given, fault.what, None, None, value, True, also)
    assert part.rule is not None and part.key is not None
    exact = value if part.kind == "clock" else in_part_unit(value, model, chain)
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
        hard = written != part.key
    if part.key in (written, exact) and exact in (part.exact, part.key):
        return None
    return FaultResult(fault.kind, fault.step, fault.given, fault.what, exact, written, None, hard, also)


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
    scale = Fraction(10) ** places
    return (value * scale + Fraction(1, 2)).__floor__() / scale
