"""Faults merged where they come to the same whatever is drawn, with the values that each leads to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.chains.factors import Value
from calclib.errors.messages import BadInput
from calclib.faults.enumeration import StatedNumber, mistaken_values, static_faults
from calclib.faults.fault import Fault
from calclib.items.compiled import CompiledModel
from calclib.items.model import FromRow, ItemModel
from calclib.items.stated import Stated, read_stated
from calclib.quantity.enclosure import Undecided

_PRIMES = (101, 103, 107, 109, 113, 127, 131, 137, 139, 149, 151, 157, 163, 167, 173, 179, 181, 191, 193, 197)


@dataclass(frozen=True)
class FaultClass:
    """A fault, those that always come to the same in an asked step, and the value of the step."""

    fault: Fault
    others: tuple[Fault, ...]
    value: Value


FARTHEST = 1000
_Groups = Mapping[str, tuple[tuple[Fault, ...], ...]]


def fault_classes(
    model: ItemModel, ready: CompiledModel, stated: Mapping[str, Stated], done: Mapping[str, Value]
) -> dict[str, tuple[FaultClass, ...]]:
    """Return the faults of one draw for each asked step, equal ones merged.

    A fault that makes its own step more than a thousand times too large or too small is left out: nobody goes on with
    such a number.

    Args:
        model: The item model.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
    """
    numbers = _numbers(model, ready, stated)
    asked = tuple(dict.fromkeys(part.asks for part in model.parts))
    groups = _static_groups(ready, numbers, done, asked)
    outcomes: dict[int, dict[str, Value]] = {}
    result: dict[str, tuple[FaultClass, ...]] = {}
    mistaken = mistaken_values(numbers)
    for name in asked:
        classes = []
        for group in (*groups[name], *((fault,) for fault in mistaken)):
            values = outcomes.get(id(group[0]))
            if values is None:
                values = outcomes[id(group[0])] = _values(group[0], ready, done, asked)
            if name in values:
                classes.append(FaultClass(group[0], group[1:], values[name]))
        result[name] = tuple(classes)
    return result


_GROUPS: dict[int, tuple[CompiledModel, _Groups]] = {}


def _static_groups(
    ready: CompiledModel, numbers: Sequence[StatedNumber], done: Mapping[str, Value], asked: Sequence[str]
) -> _Groups:
    cached = _GROUPS.get(id(ready))
    if cached is None or cached[0] is not ready:
        cached = (ready, _merged(static_faults(ready.chain, numbers), ready, done, asked))
        _GROUPS[id(ready)] = cached
    return cached[1]


def _values(
    fault: Fault, ready: CompiledModel, done: Mapping[str, Value], asked: Sequence[str]
) -> dict[str, Value]:
    touched = fault.edit.touches
    reached = [name for name in asked if any(ready.chain.depends(name, on) for on in touched)]
    if not reached:
        return {}
    try:
        values = ready.chain.reevaluate(done, fault.edit)
    except (ZeroDivisionError, Undecided, BadInput):
        return {}
    if fault.step and not _believable(values[fault.step], done[fault.step]):
        return {}
    return {name: values[name] for name in reached}


def _believable(value: Value, right: Value) -> bool:
    if isinstance(value, str) or isinstance(right, str):
        return True
    if value <= 0 or right <= 0:
        return right <= 0
    return right <= value * FARTHEST and value <= right * FARTHEST


def _merged(
    faults: Sequence[Fault], ready: CompiledModel, done: Mapping[str, Value], asked: Sequence[str]
) -> _Groups:
    """Faults with equal values at the draw and at two points near it, where all given numbers differ independently.

    Two rational functions that agree at such points are the same but for a coincidence of large primes; the tests
    confirm the merged ones symbolically.
    """
    points = [done, *(p for n in (1, 2) if (p := _near(ready, done, n)) is not None)]
    groups: dict[str, dict[object, list[Fault]]] = {name: {} for name in asked}
    for fault in faults:
        outcomes = [_outcome(fault, ready, point, asked) for point in points]
        for name in asked:
            if ready.chain.depends(name, fault.step) or fault.step == "":
                signature = tuple(outcome.get(name) for outcome in outcomes)
                if any(value is not None for value in signature):
                    groups[name].setdefault(signature, []).append(fault)
    return {name: tuple(tuple(g) for g in found.values()) for name, found in groups.items()}


def _outcome(
    fault: Fault, ready: CompiledModel, point: Mapping[str, Value], asked: Sequence[str]
) -> dict[str, Value]:
    try:
        values = ready.chain.reevaluate(point, fault.edit)
    except (ZeroDivisionError, Undecided, BadInput):
        return {}
    touched = fault.edit.touches
    return {name: values[name] for name in asked if any(ready.chain.depends(name, on) for on in touched)}


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
        mistaken = _mistaken(model, stated, name)
        for number, amount in value.numbers:
            if isinstance(amount, str):
                continue
            says = ready.chain.names.says.get(number, given.says)
            of_amount = mistaken if not number.endswith(".volume") else ()
            result.append(StatedNumber(number, name, says, of_amount))
    return tuple(result)


def _mistaken(model: ItemModel, stated: Mapping[str, Stated], name: str) -> tuple[tuple[Fraction, str], ...]:
    given, value = model.givens[name], stated[name]
    texts: Sequence[str] = ()
    if isinstance(given.mistaken, FromRow):
        texts = _row_texts(model, stated, given.mistaken)
    else:
        texts = given.mistaken
    result = []
    for text in texts:
        if given.unit is not None and text.replace(".", "").isdigit():
            text = f"{text} {given.unit}"
        other = read_stated(given, text)
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
                if all(str(row.get(column)) == text for column, text in words.items() if model.givens[f"{where.row}.{column}"].kind == "text"):
                    cell = row[where.column]
                    return [str(t) for t in cell] if isinstance(cell, list) else [str(cell)]
    return ()
