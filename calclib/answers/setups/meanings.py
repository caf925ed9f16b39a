"""What each number of a set-up stands for: a value of the problem, a conversion, or nothing that is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import islice, product

from calclib.answers.setups.bridges import bridge_of
from calclib.answers.setups.problem import NO_UNIT, PERCENT, PERCENT_CONSTANT, SetupProblem
from calclib.answers.setups.quantities import Exponents, Quantity
from calclib.answers.setups.terms import Atom
from calclib.chains.factors import without_doses
from calclib.errors.messages import BadInput
from calclib.quantity.units import Unit, parse_unit, readings_of
from calclib.reading.records import Unit as Words

MOST_ASSIGNMENTS = 400
MOST_REMEMBERED = 2000
# A number that was rounded on the way still stands for its value: 68.18 kg for 150 lb.
NEAR = 200
NOTHING: Exponents = {}
HUNDRED_UNITS = (PERCENT, parse_unit("mL"), parse_unit("mL/g"))


@dataclass(frozen=True)
class Meaning:
    """One way to understand a number of a set-up.

    Args:
        names: Exponents of the numbers of the stem.
        conversions: Exponents of conversions.
        value: The exact value in the units typed.
        unit: The unit that it has by its meaning, also where it was not typed.
        typed: The unit that was typed.
        cost: How far-fetched it is.
        quantity: The value of the problem, None for a conversion or a plain 1.
    """

    names: Exponents
    conversions: Exponents
    value: Fraction
    unit: Unit
    typed: Unit
    cost: int
    quantity: Quantity | None = None


@lru_cache(maxsize=4096)
def units_of(words: Words) -> tuple[Unit, ...]:
    """The units that typed words may stand for; () if a word is none."""
    known = tuple(("m", 2 * e) if word == "m2" else (word, e) for word, e in words)
    burnt = tuple(("%TBSA", e) if word == "%" else (word, e) for word, e in known)
    try:
        return tuple(dict.fromkeys((*readings_of(known), *readings_of(burnt))))
    except BadInput:
        return ()


def meanings_of(problem: SetupProblem, value: Fraction, decimals: int | None, words: Words) -> list[Meaning]:
    """Return what a typed number may stand for, the plainest first.

    Args:
        problem: What a set-up of the part may use.
        value: The number.
        decimals: Digits typed after the point; None where it was calculated.
        words: Its unit words, () if none was typed.
    """
    asked = (value, decimals, words)
    if asked not in problem.remembered:
        problem.remembered[asked] = _sorted_meanings(problem, value, decimals, words)
        if len(problem.remembered) > MOST_REMEMBERED:
            problem.remembered.clear()
            return meanings_of(problem, value, decimals, words)
    return problem.remembered[asked]  # type: ignore[no-any-return]


def _sorted_meanings(problem: SetupProblem, value: Fraction, decimals: int | None, words: Words) -> list[Meaning]:
    found: dict[object, Meaning] = {}
    units = units_of(words) if words else (NO_UNIT,)
    for unit in units:
        for meaning in _meanings(problem, value, decimals, unit, bool(words)):
            key = (*sorted(meaning.names.items()), *sorted(meaning.conversions.items()), meaning.unit)
            if key not in found or meaning.cost < found[key].cost:
                found[key] = meaning
    if not found and words:
        derived = (m for u in units for q in problem.derived for m in _with_unit(problem, q, value, decimals, u))
        found = dict(enumerate(derived))
    return sorted(found.values(), key=lambda m: m.cost)


def _meanings(
    problem: SetupProblem, value: Fraction, decimals: int | None, unit: Unit, has_unit: bool
) -> Iterator[Meaning]:
    if value <= 0:
        return
    if has_unit:
        for quantity in problem.quantities:
            yield from _with_unit(problem, quantity, value, decimals, unit)
        yield from _conversions(problem, value, unit)
    else:
        for quantity, other, scale in problem.bare_values:
            cost = _same(quantity, value, decimals, scale)
            if cost is not None:
                cost += (scale != 1) + (not quantity.stated)
                yield Meaning(quantity.exponents, NOTHING, quantity.value * scale, other, NO_UNIT, cost, quantity)
        for number, of, per, steps in problem.conversions_of(frozenset()):
            if number == value:
                yield Meaning(NOTHING, steps, value, Unit.of([(of, 1), (per, -1)]), NO_UNIT, 2)
    if value == 1:
        yield Meaning(NOTHING, NOTHING, value, NO_UNIT, unit, 1)


def _with_unit(
    problem: SetupProblem, quantity: Quantity, value: Fraction, decimals: int | None, unit: Unit
) -> Iterator[Meaning]:
    have = without_doses(unit)
    dimension, dimension_above = have.dimension, unit.dimension
    whole, above = quantity.dimensions
    if have.powers and dimension == whole:
        factor = problem.factor(have, quantity.plain)
        if factor is not None and (cost := _same(quantity, value, decimals, 1 / factor)) is not None:
            cost += (factor != 1) + (not quantity.stated)
            yield Meaning(quantity.exponents, NOTHING, quantity.value / factor, unit, unit, cost, quantity)
    if quantity.unit == PERCENT and unit == PERCENT and PERCENT_CONSTANT in problem.values:
        if value == quantity.value:
            exponents = {**quantity.exponents, PERCENT_CONSTANT: 1}
            meaning = problem.chain.names.unit(PERCENT_CONSTANT) * PERCENT
            yield Meaning(exponents, NOTHING, value / 100, meaning, meaning, 0, quantity)
        return
    per_hundred = quantity.unit != PERCENT and any(symbol == "%" for symbol, _ in quantity.unit.powers)
    if per_hundred and value == quantity.value and unit in HUNDRED_UNITS:
        # “x 100”, “x 100%” and “x 100 mL” say the same of grams in 100 mL.
        yield Meaning(quantity.exponents, NOTHING, value, quantity.unit, unit, 1, quantity)
    if not above or dimension_above != above or quantity.above == quantity.unit:
        return
    factor = problem.factor(unit, quantity.above)
    if factor is not None and (cost := _same(quantity, value, decimals, 1 / factor)) is not None:
        cost += 1 + (factor != 1) + (not quantity.stated)
        exact = quantity.value / factor
        yield Meaning(quantity.exponents, NOTHING, exact, unit * quantity.below, unit, cost, quantity)


def _same(quantity: Quantity, value: Fraction, decimals: int | None, scale: Fraction) -> int | None:
    """How far-fetched it is that a typed number is the quantity in a unit `scale` times smaller; None if it is not."""
    exact = quantity.value * scale
    if value == exact:
        return 0
    # What the stem states is copied as it stands; only what was calculated is rounded.
    if decimals is None or (quantity.stated and scale == 1) or abs(value - exact) * NEAR > abs(exact):
        return None
    tens = 10**decimals
    scaled = exact * tens
    return 2 if value * tens in ((scaled + Fraction(1, 2)).__floor__(), scaled.__floor__()) else None


def _conversions(problem: SetupProblem, value: Fraction, unit: Unit) -> Iterator[Meaning]:
    """A true conversion typed whole, “60 min/h”, or its larger side, “60 min” over 1 h."""
    if len(unit.powers) == 1 and unit.powers[0][1] == 1:
        symbol = unit.powers[0][0]
        for number, of, per, steps in problem.conversions_of(frozenset({symbol})):
            if of == symbol and number == value:
                yield Meaning(NOTHING, steps, value, Unit.of([(of, 1), (per, -1)]), unit, 1)
            elif per == symbol and number * value == 1:
                back = {name: -e for name, e in steps.items()}
                yield Meaning(NOTHING, back, value, Unit.of([(per, 1), (of, -1)]), unit, 1)
    elif unit.powers and not unit.dimension:
        for number, of, per, steps in problem.conversions_of(frozenset(s for s, _ in unit.powers)):
            if unit == Unit.of([(of, 1), (per, -1)]) and number == value:
                yield Meaning(NOTHING, steps, value, unit, unit, 0)
            elif unit == Unit.of([(per, 1), (of, -1)]) and number * value == 1:
                yield Meaning(NOTHING, {name: -e for name, e in steps.items()}, value, unit, unit, 0)


@dataclass(frozen=True)
class Assignment:
    """One meaning for each atom of a product, and how it differs from what is expected.

    Args:
        meanings: The meaning of each atom, None where it has none.
        names: Exponents that are too many (+) or too few (-), by number of the stem.
        conversions: The same by conversion.
        distance: How far it is from right and plain; below 10 it is right.
    """

    meanings: tuple[Meaning | None, ...]
    names: Exponents
    conversions: Exponents
    distance: int


def assignments(problem: SetupProblem, atoms: Sequence[Atom]) -> Iterator[Assignment]:
    """Yield the ways to understand the atoms of a product."""
    options: list[list[Meaning | None]] = []
    for atom in atoms:
        found = meanings_of(problem, atom.value, atom.decimals, atom.words)
        options.append([*found] or [None])
    for chosen in islice(product(*options), MOST_ASSIGNMENTS):
        yield _assignment(problem, atoms, chosen)


def nearest(problem: SetupProblem, atoms: Sequence[Atom]) -> Assignment:
    """Return the way to understand the atoms that lies nearest to what is expected."""
    return min(assignments(problem, atoms), key=lambda a: a.distance)


def _assignment(problem: SetupProblem, atoms: Sequence[Atom], chosen: Sequence[Meaning | None]) -> Assignment:
    names: dict[str, int] = {}
    conversions: dict[str, int] = {}
    unit_of: dict[str, Unit] = {}
    cost = unmatched = strange = 0
    unit = NO_UNIT
    for atom, meaning in zip(atoms, chosen, strict=True):
        if meaning is None:
            unmatched += 1
            continue
        cost += meaning.cost
        strange += any(name not in problem.needed for name in meaning.names)
        for name, e in meaning.names.items():
            names[name] = names.get(name, 0) + e * atom.exponent
        for name, e in meaning.conversions.items():
            conversions[name] = conversions.get(name, 0) + e * atom.exponent
        if not meaning.conversions:
            unit = unit * (meaning.unit if atom.exponent > 0 else meaning.unit**-1)
        if len(meaning.names) == 1:
            ((name, e),) = meaning.names.items()
            unit_of.setdefault(name, meaning.unit**e if abs(e) == 1 else meaning.unit)
    expected = problem.expected
    differs = {}
    for name in {**expected, **names}:
        surplus = names.get(name, 0) - expected.get(name, 0)
        if surplus:
            if name not in problem.ones:
                differs[name] = surplus
            own = unit_of.get(name)
            unit = unit * (own if own is not None else _unit(problem, name)) ** -surplus
    needed = bridge_of(without_doses(unit), problem.unit)
    if needed is None:
        wrong = {name: e for name, e in conversions.items() if e}
        distance = 5
    else:
        wanted = dict(needed)
        wrong = {
            name: conversions.get(name, 0) - wanted.get(name, 0)
            for name in {**wanted, **conversions}
            if conversions.get(name, 0) != wanted.get(name, 0)
        }
        distance = 0
    distance += 10 * (sum(map(abs, differs.values())) + sum(map(abs, wrong.values())) + unmatched)
    # “1 g/1,000 mg” beside a vial of 1 g is a conversion and not twice the vial.
    distance += 10 * strange
    if needed is None:
        distance += 10
    return Assignment(tuple(chosen), differs, wrong, distance + min(cost, 9))


def _unit(problem: SetupProblem, name: str) -> Unit:
    if name.startswith("#") or " above " in name:
        return next((q.unit for q in problem.quantities if q.exponents == {name: 1}), NO_UNIT)
    return problem.chain.unit(name)


def typed_unit_of(atoms: Sequence[Atom], meanings: Sequence[Meaning | None]) -> Unit:
    """The unit to which the typed units come."""
    unit = NO_UNIT
    for atom, meaning in zip(atoms, meanings, strict=True):
        typed = meaning.typed if meaning is not None else next(iter(units_of(atom.words)), NO_UNIT)
        unit = unit * typed**atom.exponent
    return without_doses(unit)
