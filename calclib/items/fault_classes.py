"""Faults merged where they come to the same whatever is drawn, with the values that each leads to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import NamedTuple

from calclib.chains.factors import Value
from calclib.chains.fingerprint import fingerprints
from calclib.chains.kinds.clock import Clock
from calclib.errors.messages import BadInput
from calclib.faults.enumeration import StatedNumber, mistaken_values, static_faults
from calclib.faults.fault import Fault
from calclib.items.compiled import KEPT_FORMS, CompiledModel
from calclib.items.drawn_faults import powder_by_diluent, taken_together
from calclib.models.devices import device, misreadings
from calclib.models.identity import ByIdentity
from calclib.models.model import FromRow, GivenModel, ItemModel
from calclib.models.stated import EVERY_HOURS, Stated, read_own
from calclib.quantity.enclosure import Enclosure, Undecided, ends
from calclib.quantity.units import Unit, parse_unit

_PRIMES = (101, 103, 107, 109, 113, 127, 131, 137, 139, 149, 151, 157, 163, 167, 173, 179, 181, 191, 193, 197)


class FaultClass(NamedTuple):
    """A fault, those that always come to the same in an asked step, and the value of the step.

    Args:
        fault: The likeliest fault.
        others: Those that come to the same.
        value: The value to which they lead.
        but_for_rounding: Equal for faults that come to the same but for roundings on the way; None if not known.
        far: Whether its own step comes out so far from the right value that few would go on with it.
    """

    fault: Fault
    others: tuple[Fault, ...]
    value: Value
    but_for_rounding: int | None = None
    far: bool = False


@dataclass(frozen=True)
class _Group:
    """Faults that come to the same whatever is drawn, and the asked steps that the likeliest of them changes."""

    faults: tuple[Fault, ...]
    reached: tuple[str, ...]
    but_for_rounding: int | None = None


class _Outcome(NamedTuple):
    """What one fault leads to in one draw: the values of the asked steps that it reaches, and whether it is far off."""

    values: Mapping[str, Value]
    far: bool = False


_NOTHING = _Outcome({})


Mark = tuple[int, int] | Enclosure | str
FARTHEST = 1000
FARTHEST_NAMED = 10**6
_Groups = Mapping[str, tuple[_Group, ...]]


def fault_classes(
    model: ItemModel,
    ready: CompiledModel,
    stated: Mapping[str, Stated],
    done: Mapping[str, Value],
    *,
    only: Sequence[str] = (),
    spare: bool = False,
) -> dict[str, tuple[FaultClass, ...]]:
    """Return the faults of one draw for each asked step, equal ones merged.

    One that makes its own step more than a thousand times too large or too small is far: few go on with such a number.

    Two faults are the same if they are so by algebra, or if they come to the same here and nearby, such as two that
    both lead to a single vial. What is left are coincidences of this draw.

    Args:
        model: The item model.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
        only: The asked steps that matter; all if none is named.
        spare: Whether to return the spare faults, each for itself, in the place of the others.
    """
    numbers = _numbers(model, ready, stated)
    every = tuple(dict.fromkeys(part.asks for part in model.parts))
    groups = _static_groups(ByIdentity(ready), tuple(StatedNumber(n.name, n.given, n.says) for n in numbers), every)
    asked = tuple(only) or every
    here = _Draw(ready, done)
    drawn = (*mistaken_values(numbers), *powder_by_diluent(ready.chain, stated), *taken_together(ready.chain, done))
    mistaken = tuple(_Group((fault,), _reached(fault, ready, every)) for fault in drawn)
    result: dict[str, tuple[FaultClass, ...]] = {}
    outcomes: dict[int, _Outcome] = {}
    for name in asked:
        classes: list[FaultClass] = []
        first: dict[Mark, int] = {}
        for group in (*groups[name], *mistaken):
            likeliest = group.faults[0]
            if likeliest.spare is not spare:
                continue
            outcome = outcomes.get(id(likeliest))
            if outcome is None:
                reached = [step for step in group.reached if step in asked]
                outcome = outcomes[id(likeliest)] = _outcome(likeliest, ready, done, reached)
            if name not in outcome.values:
                continue
            found = FaultClass(likeliest, group.faults[1:], outcome.values[name], group.but_for_rounding, outcome.far)
            if spare or outcome.far:
                classes.append(found)
                continue
            place = first.setdefault(mark_of(found.value), len(classes))
            if place < len(classes) and here.same(classes[place].fault, found.fault, name):
                classes[place] = classes[place]._replace(others=(*classes[place].others, *group.faults))
            else:
                classes.append(found)
        result[name] = tuple(classes)
    return result


@dataclass(frozen=True)
class _Draw:
    """One draw with two points near it, where all given numbers differ independently."""

    ready: CompiledModel
    done: Mapping[str, Value]

    @cached_property
    def near(self) -> tuple[Mapping[str, Value], ...]:
        """The values of the chain at the points near the draw."""
        points = (_near(self.ready, self.done, which) for which in (1, 2))
        return tuple(point for point in points if point is not None)

    def same(self, one: Fault, other: Fault, name: str) -> bool:
        """Whether two faults that come to the same value do so near the draw too, as whole vials or choices do."""
        if isinstance(self.done[name], str):
            return True
        return all(
            _value(one, self.ready, point, name) == _value(other, self.ready, point, name) for point in self.near
        )


@lru_cache(maxsize=KEPT_FORMS)
def _static_groups(key: ByIdentity[CompiledModel], numbers: Sequence[StatedNumber], asked: Sequence[str]) -> _Groups:
    """Faults that come to the same whatever is drawn, for each asked step; those that never change it are left out."""
    ready = key.record
    right = fingerprints(ready.chain, ready.constants)
    groups: dict[str, dict[int, _Group]] = {name: {} for name in asked}
    for fault in static_faults(ready.chain, numbers):
        wrong = fingerprints(ready.chain, ready.constants, fault.edit)
        unrounded = fingerprints(ready.chain, ready.constants, fault.edit, rounding=False)
        for name in asked:
            if wrong[name] != right[name]:
                new = _Group((), _reached(fault, ready, asked), unrounded[name])
                group = groups[name].get(wrong[name], new)
                groups[name][wrong[name]] = replace(group, faults=(*group.faults, fault))
    return {name: tuple(by_mark.values()) for name, by_mark in groups.items()}


def _reached(fault: Fault, ready: CompiledModel, asked: Sequence[str]) -> tuple[str, ...]:
    """The asked steps whose values a fault can change."""
    return tuple(name for name in asked if any(ready.chain.depends(name, on) for on in fault.edit.touches))


def _outcome(fault: Fault, ready: CompiledModel, done: Mapping[str, Value], reached: Sequence[str]) -> _Outcome:
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
    one, other = value.numerator * right.denominator, right.numerator * value.denominator
    return other <= one * times and one <= other * times


def _value(fault: Fault, ready: CompiledModel, point: Mapping[str, Value], name: str) -> Value | None:
    try:
        return ready.chain.reevaluate(point, fault.edit)[name]
    except (ZeroDivisionError, Undecided, BadInput):
        return None


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


def _numbers(model: ItemModel, ready: CompiledModel, stated: Mapping[str, Stated]) -> tuple[StatedNumber, ...]:
    result = []
    for name, value in stated.items():
        given = model.givens[name]
        if given.role == "hidden" or given.kind in ("text", "clock"):
            continue
        # A column that only a constraint looks at is no number that a student could take.
        if given.role == "column" and f"{{{name}}}" not in model.stem:
            continue
        mistaken = _mistaken(model, stated, name)
        for number, amount in value.numbers:
            if isinstance(amount, str):
                continue
            says = ready.chain.names.says.get(number, given.says)
            of_amount = mistaken if not number.endswith(".volume") else ()
            result.append(StatedNumber(number, name, says, of_amount, _misread(given, value), given.says))
    return tuple(result)


def _misread(given: GivenModel, value: Stated) -> tuple[tuple[Fraction, str, str], ...]:
    if given.kind == "frequency" and value.working and value.form[0] == EVERY_HOURS:
        return _miscounted_doses(value.working, given.unit)
    if not given.drawn_on or not value.working:
        return ()
    right = value.working
    found = misreadings(device(given.drawn_on), given.reads, right)
    return tuple((read / right, kind, way) for read, kind, way in found)


def _miscounted_doses(frequency: Fraction, unit: Unit | None) -> tuple[tuple[Fraction, str, str], ...]:
    """One dose a day too many or too few; what the stem states are the hours between doses."""
    doses = frequency * (24 if unit == parse_unit("dose/h") else 1)
    found = []
    for more, word in ((1, "many"), (-1, "few")):
        if doses + more > 0:
            found.append((doses / (doses + more), "doses miscounted", f"too {word}"))
    return tuple(found)


def _mistaken(model: ItemModel, stated: Mapping[str, Stated], name: str) -> tuple[tuple[Fraction, str], ...]:
    given, value = model.givens[name], stated[name]
    texts: Sequence[str] = ()
    if isinstance(given.mistaken, FromRow):
        texts = _row_texts(model, stated, given.mistaken)
    else:
        texts = given.mistaken
    result = []
    for text in texts:
        other = read_own(given, text)
        if other.working is None or value.working is None or other.working == value.working:
            continue
        ratio = other.working / value.working
        if given.kind == "frequency" and value.form[0] == "every h":
            ratio = 1 / ratio
        result.append((ratio, other.text))
    return tuple(result)


def _row_texts(model: ItemModel, stated: Mapping[str, Stated], where: FromRow) -> Sequence[str]:
    """The texts of a column in the row whose words are stated."""
    words = {n.rpartition(".")[2]: s.text for n, s in stated.items() if n.startswith(f"{where.row}.")}
    for given in model.givens.values():
        if given.name == where.row:
            table = model.rows[given.draw.table]  # type: ignore[union-attr]
            for row in table:
                if all(
                    str(row.get(column)) == text
                    for column, text in words.items()
                    if model.givens[f"{where.row}.{column}"].kind == "text"
                ):
                    cell = row[where.column]
                    return [str(t) for t in cell] if isinstance(cell, list) else [str(cell)]
    return ()
