"""Named, taught conversions between units, each with its source."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from heapq import heappop, heappush
from importlib.resources import files

from calclib.errors.messages import BadInput
from calclib.quantity.units import Unit, parse_unit, unit_table
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Equivalence:
    """1 `per` makes `value` `of`: name "lb_per_kg", of "lb", per "kg", value 2.2."""

    name: str
    of: str
    per: str
    value: Fraction
    definition: bool
    source: str
    variants: tuple[tuple[Fraction, str], ...] = ()

    @cached_property
    def unit(self) -> Unit:
        """The unit of the factor, for example lb/kg."""
        return Unit.of([(self.of, 1), (self.per, -1)])


@cache
def equivalences() -> Mapping[str, Equivalence]:
    """Return all equivalences by name, with their default values."""
    text = files("calclib.quantity").joinpath("equivalences.toml").read_text(encoding="utf-8")
    result = {}
    for row in tomllib.loads(text)["equivalence"]:
        of, per = row["unit"].split("/")
        variants = tuple((exact_number(v["value"]), v["source"]) for v in row.get("variants", ()))
        result[row["name"]] = Equivalence(
            row["name"], of, per, exact_number(row["value"]), row.get("definition", False), row["source"], variants
        )
    return result


_EXACT = re.compile(r"\d{1,20}(?:\.\d{1,20})?(?:/\d{1,20}(?:\.\d{1,20})?)?", re.ASCII)


def exact_number(text: str) -> Fraction:
    """Return the number that a data file writes as "2.2", "1/3" or "1/0.45359237".

    Raises:
        ValueError: The text is anything else; a power of ten such as 1e999999 would take minutes to write out.
        ZeroDivisionError: It divides by 0.
    """
    if _EXACT.fullmatch(text) is None:
        raise ValueError("not a number such as 2.2 or 1/3")
    top, _, below = text.partition("/")
    return Fraction(top) / Fraction(below) if below else Fraction(top)


def equivalence(name: str) -> Equivalence:
    """Return one equivalence.

    Raises:
        BadInput: There is no equivalence of that name.
    """
    try:
        return equivalences()[name]
    except KeyError:
        raise BadInput(fact("errors_quantity.no_equivalence", name=name, known=tuple(equivalences()))) from None


_CONVENTION, _DEFINITION = 100, 1
"""What a step of a conversion costs: no number of definitions is as bad as one convention."""


@cache
def conversion(start: str, end: str, held: frozenset[str] = frozenset()) -> tuple[tuple[str, int], ...]:
    """Return the equivalences that lead from one symbol to another, with the exponent of each.

    The way with the fewest conventions is taken, of those the shortest: a gallon is 768 tsp by the kitchen's own steps,
    not 757.08 tsp by way of the liter.

    Args:
        start: The symbol of the unit that is converted.
        end: The symbol of the unit that is asked.
        held: Names of equivalences that cost nothing. All ways from one start keep to them: as soon as one unit is
            reached, those that they lead to are reached from it.

    Raises:
        BadInput: The two measure different things.
    """
    reached: set[str] = set()
    ways: list[tuple[int, bool, tuple[tuple[str, int], ...], str]] = [(0, False, (), start)]
    while ways:
        cost, _, way, here = heappop(ways)
        if here == end:
            return way
        if here in reached:
            continue
        reached.add(here)
        for there, eq, exponent in _neighbors().get(here, ()):
            free = eq.name in held
            more = 0 if free else _DEFINITION if eq.definition else _CONVENTION
            heappush(ways, (cost + more, not free, (*way, (eq.name, exponent)), there))
    raise BadInput(fact("errors_quantity.not_converted", start=start, end=end))


@cache
def _neighbors() -> Mapping[str, list[tuple[str, Equivalence, int]]]:
    graph: dict[str, list[tuple[str, Equivalence, int]]] = {}
    for eq in equivalences().values():
        graph.setdefault(eq.per, []).append((eq.of, eq, 1))
        graph.setdefault(eq.of, []).append((eq.per, eq, -1))
    return graph


@lru_cache(maxsize=4096)
def bridge(have: Unit, want: Unit) -> tuple[tuple[str, int], ...] | None:
    """Return the equivalences that turn a value in one unit into a value in another.

    Args:
        have: The unit of the value.
        want: The unit that is asked.

    Returns:
        Pairs of equivalence name and exponent; None if the units measure different things.
    """
    if have.dimension != want.dimension:
        return None
    dimension_of = unit_table().dimension_of
    steps: dict[str, int] = {}
    for dim in dict.fromkeys(dimension_of[s] for s, _ in (*have.powers, *want.powers)):
        surplus: list[str] = []
        missing: list[str] = []
        for symbol, exponent in (have / want).powers:
            if dimension_of[symbol] == dim:
                (surplus if exponent > 0 else missing).extend([symbol] * abs(exponent))
        for start, end in zip(surplus, missing, strict=True):
            for name, exponent in conversion(start, end):
                steps[name] = steps.get(name, 0) + exponent
    return tuple((name, e) for name, e in steps.items() if e)


def bridge_factor(have: Unit, want: Unit, values: Mapping[str, Fraction]) -> Fraction | None:
    """Return the number that converts a value in `have` to `want`; None if they measure different things.

    Args:
        have: The unit of the value.
        want: The unit that is asked.
        values: Values of equivalences that differ from the default.
    """
    return _factor(have, want, values) if values else _usual_factor(have, want)


@lru_cache(maxsize=4096)
def _usual_factor(have: Unit, want: Unit) -> Fraction | None:
    return _factor(have, want, {})


def _factor(have: Unit, want: Unit, values: Mapping[str, Fraction]) -> Fraction | None:
    steps = bridge(have, want)
    if steps is None:
        return None
    factor = Fraction(1)
    for name, exponent in steps:
        factor *= values.get(name, equivalences()[name].value) ** exponent
    return factor


_WORDS = {"Tbsp": "tbsp", "qts": "qt", "gr": "grain", "lbs": "lb", "pounds": "lb", "fl oz": "oz", "grains": "grain"}
_EQUATION = re.compile(r"([\d.,/]+) ?([A-Za-z][A-Za-z ]*?) ?= ?([\d.,/]+) ?([A-Za-z][A-Za-z ]*)")


def _quotient(text: str) -> str:
    """“1 kg = 2.2 lb” as so many lb/kg; any other text as it is."""
    match = _EQUATION.fullmatch(text.strip())
    if match is None:
        return text.strip()
    try:
        value = exact_number(match[3].replace(",", "")) / exact_number(match[1].replace(",", ""))
    except (ValueError, ZeroDivisionError):
        return text.strip()
    return f"{value} {match[4]}/{match[2]}"


def read_equivalence(name: str, text: str) -> Fraction:
    """Return the value that a teacher gives an equivalence: "2.2", "2.2 lb/kg", "0.45359237 kg/lb" or "1 kg = 2.2 lb".

    Raises:
        BadInput: Unknown name, a definition, a number that is not positive, or a unit that does not fit.
    """
    eq = equivalence(name)
    number, _, unit = _quotient(text).partition(" ")
    try:
        value = exact_number(number.replace(",", ""))
    except (ValueError, ZeroDivisionError):
        raise BadInput(fact("errors_quantity.no_value_of_equivalence", text=text, name=name)) from None
    if not 0 < value < 10**9 or len(text) > 60:
        raise BadInput(fact("errors_quantity.equivalence_not_positive", name=name, text=text))
    if unit.strip():
        given = tuple(_WORDS.get(w.strip(), w.strip()) for w in re.split(r"/|\bper\b", unit))
        of, per = unit_table().word_of[eq.of], unit_table().word_of[eq.per]
        if given == (per, of):
            value = 1 / value
        elif given not in ((of, per), (of,)):
            raise BadInput(fact("errors_quantity.unit_of_equivalence", name=name, of=of, per=per, unit=unit.strip()))
    if eq.definition and value != eq.value:
        raise BadInput(fact("errors_quantity.defined_equivalence", name=name, value=str(eq.value)))
    return value


def read_equivalences(use: Mapping[str, str]) -> dict[str, Fraction]:
    """Return the values that a teacher gives equivalences, by name; a name may stand the other way round: kg_per_lb.

    Raises:
        BadInput: As for `read_equivalence`, or one conversion is given twice.
    """
    values: dict[str, Fraction] = {}
    for name, text in use.items():
        turned = _turned(name)
        other_way = name not in equivalences() and turned in equivalences()
        known = turned if other_way else name
        value = read_equivalence(known, text)
        if known in values:
            raise BadInput(fact("errors_quantity.equivalence_twice", name=known))
        values[known] = 1 / value if other_way and " " not in text.strip() else value
    return values


def _turned(name: str) -> str:
    """The name of the same conversion the other way round: lb_per_kg for kg_per_lb."""
    of, _, per = name.partition("_per_")
    return f"{per}_per_{of}"


__all__ = [
    "Equivalence",
    "bridge",
    "bridge_factor",
    "conversion",
    "equivalence",
    "equivalences",
    "exact_number",
    "parse_unit",
    "read_equivalence",
    "read_equivalences",
]
