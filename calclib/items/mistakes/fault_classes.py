"""Faults merged where they come to the same whatever is drawn, with the values that each leads to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import NamedTuple

from calclib.chains.factors import Value
from calclib.chains.fingerprint import Fingerprints
from calclib.chains.kinds.clock import Clock
from calclib.chains.multiples import Multiple, multiple_of, multiplied, raised
from calclib.errors.messages import BadInput
from calclib.faults.decisions import wrong_decisions
from calclib.faults.enumeration import StatedNumber, mistaken_values, static_faults
from calclib.faults.fault import Fault
from calclib.items.compiled import KEPT_FORMS, CompiledModel
from calclib.items.mistakes.drawn_faults import powder_by_diluent, taken_together
from calclib.items.mistakes.stated_numbers import stated_numbers
from calclib.models.identity import ByIdentity
from calclib.models.model import ItemModel
from calclib.models.stated import Stated
from calclib.quantity.enclosure import Enclosure, Undecided, ends

_PRIMES = (101, 103, 107, 109, 113, 127, 131, 137, 139, 149, 151, 157, 163, 167, 173, 179, 181, 191, 193, 197)


@dataclass(slots=True, eq=False)
class FaultClass:
    """A fault, those that always come to the same in an asked step, and the value of the step.

    Args:
        fault: The likeliest fault.
        others: Those that come to the same; all of them are known once every fault of the step was looked at.
        value: The value to which they lead.
        but_for_rounding: Equal for faults that come to the same but for roundings on the way; None if not known.
        far: Whether its own step comes out so far from the right value that few would go on with it.
    """

    fault: Fault
    others: list[Fault]
    value: Value
    but_for_rounding: int | None = None
    far: bool = False


class _Group(NamedTuple):
    """Faults that come to the same whatever is drawn.

    Args:
        faults: The faults, the likeliest first.
        reached: The asked steps that the likeliest changes.
        multiple: What the likeliest multiplies results by, None if it does something else.
        but_for_rounding: As for `FaultClass`.
    """

    faults: tuple[Fault, ...]
    reached: tuple[str, ...]
    multiple: Multiple | None
    but_for_rounding: int | None = None


class _Outcome(NamedTuple):
    """What one fault leads to in one draw: the values of the asked steps that it reaches, and whether it is far off."""

    values: Mapping[str, Value]
    far: bool = False


_NOTHING = _Outcome({})


Mark = tuple[int, int] | Enclosure | str
FARTHEST = 1000
FARTHEST_NAMED = 10**6
_Groups = Mapping[tuple[str, bool], tuple[_Group, ...]]


class DrawnFaults:
    """The faults of one draw, those equal in an asked step merged; each is worked out when it is first looked at.

    One that makes its own step more than a thousand times too large or too small is far: few go on with such a number.

    Two faults are the same if they are so by algebra, or if they come to the same here and nearby, such as two that
    both lead to a single vial. What is left are coincidences of this draw.

    Args:
        model: The item model.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
    """

    def __init__(
        self, model: ItemModel, ready: CompiledModel, stated: Mapping[str, Stated], done: Mapping[str, Value]
    ) -> None:
        self.ready, self.done = ready, done
        self.every = tuple(dict.fromkeys(part.asks for part in model.parts))
        numbers = stated_numbers(model, ready, stated)
        static = tuple(StatedNumber(n.name, n.given, n.says) for n in numbers)
        self.static = _static_groups(ByIdentity(ready), static, self.every)
        taken = _taken_groups(ByIdentity(ready), numbers, self.every)
        self._drawn = (
            *taken,
            *self._groups((*powder_by_diluent(ready.chain, stated), *wrong_decisions(ready.chain, done))),
        )
        self._together = self._groups(taken_together(ready.chain, done))
        self._outcomes: dict[int, _Outcome] = {}

    def classes(self, asked: str, *, spare: bool = False) -> Iterator[FaultClass]:
        """Yield the faults of an asked step.

        Args:
            asked: The step.
            spare: Whether to yield the spare faults, each for itself, in the place of the others.
        """
        yield from self._merged(asked, spare, (*self._drawn, *self._together), self._outcome_here)

    def going_on(self, asked: str, entered: Mapping[str, Value], *, spare: bool) -> Iterator[FaultClass]:
        """Yield the faults of an asked step of a student who goes on from other values of earlier steps.

        Args:
            asked: The step.
            entered: The values, by step.
            spare: As for `classes`.
        """
        own = {**self.done, **entered}
        drawn = (*self._drawn, *self._groups(taken_together(self.ready.chain, own)))
        # The values of earlier steps no longer follow from the givens, so nothing simply multiplies.
        yield from self._merged(
            asked, spare, drawn, lambda group: _run_again(group.faults[0], self.ready, own, (asked,))
        )

    def _groups(self, faults: Iterable[Fault]) -> tuple[_Group, ...]:
        return tuple(_group(fault, self.ready, self.every) for fault in faults)

    def _merged(
        self, asked: str, spare: bool, drawn: Sequence[_Group], outcome_of: Callable[[_Group], _Outcome]
    ) -> Iterator[FaultClass]:
        first: dict[Mark, tuple[FaultClass, _Group]] = {}
        of_draw = (one for one in drawn if one.faults[0].spare is spare and asked in one.reached)
        for group in (*self.static[asked, spare], *of_draw):
            likeliest = group.faults[0]
            outcome = outcome_of(group)
            value = outcome.values.get(asked)
            if value is None:
                continue
            found = FaultClass(likeliest, list(group.faults[1:]), value, group.but_for_rounding, outcome.far)
            if not spare and not outcome.far:
                other, of = first.setdefault(mark_of(value), (found, group))
                if other is not found and self._same(of, group, asked):
                    other.others.extend(group.faults)
                    continue
            yield found

    def _outcome_here(self, group: _Group) -> _Outcome:
        key = id(group.faults[0])
        if key not in self._outcomes:
            self._outcomes[key] = _multiplied(group, self.ready, self.done)
        return self._outcomes[key]

    @cached_property
    def _near(self) -> tuple[Mapping[str, Value], ...]:
        """The values of the chain at two points near the draw, where all given numbers differ independently."""
        points = (_near(self.ready, self.done, which) for which in (1, 2))
        return tuple(point for point in points if point is not None)

    def _same(self, one: _Group, other: _Group, asked: str) -> bool:
        """Whether two faults that come to the same value do so near the draw too; one that comes to nothing doesn't."""
        if isinstance(self.done[asked], str):
            return True
        pairs = ((_value(one, self.ready, at, asked), _value(other, self.ready, at, asked)) for at in self._near)
        return all(first is not None and first == second for first, second in pairs)


@lru_cache(maxsize=KEPT_FORMS)
def _static_groups(key: ByIdentity[CompiledModel], numbers: Sequence[StatedNumber], asked: Sequence[str]) -> _Groups:
    """Faults that come to the same whatever is drawn, for each asked step, the spare ones apart.

    Those that never change the step are left out.
    """
    ready = key.record
    marks = Fingerprints(ready.chain, ready.constants)
    bare = Fingerprints(ready.chain, ready.constants, rounding=False)
    right = marks.of()
    groups: dict[str, dict[int, _Group]] = {name: {} for name in asked}
    for fault in static_faults(ready.chain, numbers):
        wrong = marks.of(fault.edit)
        unrounded = bare.of(fault.edit) if marks.rounds(fault.edit) else wrong
        alone = _group(fault, ready, asked)
        for name in asked:
            if wrong[name] != right[name]:
                group = groups[name].get(wrong[name])
                groups[name][wrong[name]] = (
                    alone._replace(but_for_rounding=unrounded[name])
                    if group is None
                    else group._replace(faults=(*group.faults, fault))
                )
    return {
        (name, spare): tuple(one for one in by_mark.values() if one.faults[0].spare is spare and name in one.reached)
        for name, by_mark in groups.items()
        for spare in (False, True)
    }


# What a row says that a value is taken for, and how a mark is misread, comes again in many draws.
@lru_cache(maxsize=KEPT_FORMS)
def _taken_groups(
    key: ByIdentity[CompiledModel], numbers: Sequence[StatedNumber], asked: Sequence[str]
) -> tuple[_Group, ...]:
    return tuple(_group(fault, key.record, asked) for fault in mistaken_values(numbers))


def _reached(fault: Fault, ready: CompiledModel, asked: Sequence[str]) -> tuple[str, ...]:
    """The asked steps whose values a fault can change."""
    return tuple(name for name in asked if any(ready.chain.depends(name, on) for on in fault.edit.touches))


def _group(fault: Fault, ready: CompiledModel, asked: Sequence[str]) -> _Group:
    return _Group((fault,), _reached(fault, ready, asked), multiple_of(ready.chain, fault.edit))


def _multiplied(group: _Group, ready: CompiledModel, done: Mapping[str, Value]) -> _Outcome:
    """What the likeliest of a group leads to; the chain is run again only for what it doesn't simply multiply."""
    fault, multiple = group.faults[0], group.multiple
    ratio = None if multiple is None else multiple.ratio(done)
    if multiple is None or ratio is None:
        return _run_again(fault, ready, done, group.reached)
    times = (1, 1)
    powers = multiple.powers
    if fault.step:
        right, power = done[fault.step], powers.get(fault.step)
        if power is None or not isinstance(right, Fraction) or right.numerator <= 0:
            return _run_again(fault, ready, done, group.reached)
        times = raised(ratio, power)
    if not _within(*times, FARTHEST_NAMED):
        return _NOTHING
    values: dict[str, Value] = {}
    rest: list[str] = []
    for name in group.reached:
        value, power = done[name], powers.get(name)
        if power is None or not isinstance(value, Fraction):
            rest.append(name)
        else:
            values[name] = multiplied(value, raised(ratio, power))
    if rest:
        values |= _run_again(fault, ready, done, rest).values
    return _Outcome(values, not _within(*times, FARTHEST))


def _run_again(fault: Fault, ready: CompiledModel, done: Mapping[str, Value], reached: Sequence[str]) -> _Outcome:
    """The values of the asked steps that a fault reaches; none if nobody would go on with that of its own step."""
    if not reached:
        return _NOTHING
    try:
        values: Mapping[str, Value] = ready.chain.reevaluate(done, fault.edit)
        kept = tuple(reached)
    except (ZeroDivisionError, Undecided, BadInput):
        values = _values_so_far(fault, ready, done, reached)
        kept = tuple(name for name in reached if name in values)
    if not kept or not _believable(fault, ready, values, done, FARTHEST_NAMED):
        return _NOTHING
    return _Outcome({name: values[name] for name in kept}, not _believable(fault, ready, values, done, FARTHEST))


def _values_so_far(
    fault: Fault, ready: CompiledModel, done: Mapping[str, Value], reached: Sequence[str]
) -> dict[str, Value]:
    """The values of asked steps before one that can't be done, as no syringe holds ten times the dose."""
    names = [step.name for step in ready.chain.steps]
    found: dict[str, Value] = {}
    for name in reached:
        before = replace(ready.chain, steps=ready.chain.steps[: names.index(name) + 1])
        try:
            values = before.reevaluate(done, fault.edit)
        except (ZeroDivisionError, Undecided, BadInput):
            continue
        if not fault.step or fault.step in values:
            found[name] = values[name]
            if fault.step:
                found[fault.step] = values[fault.step]
    return found


def _believable(
    fault: Fault, ready: CompiledModel, values: Mapping[str, Value], done: Mapping[str, Value], farthest: int
) -> bool:
    """Whether a student would go on with what the step of a fault comes to."""
    if not fault.step or isinstance(ready.chain.by_name[fault.step], Clock):
        return True
    value, right = values[fault.step], done[fault.step]
    if isinstance(value, str) or isinstance(right, str):
        return True
    # An enclosure is so narrow that either end will do.
    low, right_low = ends(value)[0], ends(right)[0]
    if low.numerator <= 0 or right_low.numerator <= 0:
        return right_low.numerator <= 0
    return within(low, right_low, farthest)


def mark_of(value: Value) -> Mark:
    """Return what two values share only if they are equal, quicker to look up than a fraction."""
    return value.as_integer_ratio() if isinstance(value, Fraction) else value


def within(value: Fraction, right: Fraction, times: int) -> bool:
    """Return whether two numbers above 0 are at most so many times apart.

    In whole numbers: this runs for every mistake of every draw, and fractions would be reduced at each turn.
    """
    return _within(value.numerator * right.denominator, right.numerator * value.denominator, times)


def _within(one: int, other: int, times: int) -> bool:
    return other <= one * times and one <= other * times


def _value(group: _Group, ready: CompiledModel, point: Mapping[str, Value], name: str) -> Value | None:
    right, multiple = point[name], group.multiple
    if multiple is not None and multiple.all_products and isinstance(right, Fraction):
        ratio = multiple.ratio(point)
        if ratio is not None:
            return multiplied(right, raised(ratio, multiple.powers[name]))
    try:
        return ready.chain.reevaluate(point, group.faults[0].edit)[name]
    except (ZeroDivisionError, Undecided, BadInput):
        return _values_so_far(group.faults[0], ready, point, (name,)).get(name)


def _near(ready: CompiledModel, done: Mapping[str, Value], which: int) -> dict[str, Value] | None:
    steps = {step.name for step in ready.chain.steps}
    env = dict(done)
    for place, name in enumerate(n for n in done if n not in steps and not n.startswith("eq:")):
        value = env[name]
        if isinstance(value, Fraction):
            env[name] = value * (1 + Fraction(which, _PRIMES[place % len(_PRIMES)] * (1 + place // len(_PRIMES))))
    try:
        return ready.chain.evaluate(env)
    except (ZeroDivisionError, Undecided, BadInput):
        return None
