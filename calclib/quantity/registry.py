"""The registry of clinical units behind formulas and lessons: exact, with body weight apart from drug mass.

Its definitions are generated from `units.toml` and `equivalences.toml`. Every number is a fraction or an enclosure, a
kilogram is the taught 2.2 lb unless another value is asked for, and a text is read by our own unit reader only.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any, TypeAlias

from calclib.errors.messages import BadInput
from calclib.quantity.amounts import parse_amount
from calclib.quantity.enclosure import Enclosure, Exact
from calclib.quantity.equivalences import conversion, equivalences
from calclib.quantity.units import Unit, parse_unit, unit_table, unit_text
from calclib.quantity.writing import write_number, write_quantity, write_unit
from calclib.wording.facts import fact

if TYPE_CHECKING:
    import pint

Quantity: TypeAlias = "pint.Quantity[Any]"
Registry: TypeAlias = "pint.UnitRegistry[Any]"

# Names that a registry of units cannot hold as they are written.
_NAMES = {"%": "percent", "%TBSA": "percent_TBSA"}
_SYMBOLS: Mapping[str, str] = {name: symbol for symbol, name in _NAMES.items()}

# Significant digits shown of a number without finite decimals.
SHOWN_DIGITS = 6
_PLACES = re.compile(r"\.(\d{1,2})f")

# Both scales stand on the kelvin: 0 degrees C = 273.15 K, 0 degrees F = 459.67 x 5/9 K (NIST SP 811, key nist_sp811).
_TEMPERATURES = (
    "kelvin = [temperature]",
    "degC = kelvin; offset: 273.15",
    "degF = 5 / 9 * kelvin; offset: 45967 / 180",
)


@cache
def registry(use: tuple[tuple[str, Fraction], ...] = ()) -> Registry:
    """The unit registry, built when first asked for.

    Args:
        use: Equivalences that are to hold, as (name, value) pairs. A registry has one scale, on which not all can hold
            as taught: 1 qt is 4 cups of 240 mL, but 1/1.06 L. One registry is kept for each scale; quantities of two
            do not mix.

    Raises:
        BadInput: if an equivalence is not known.
    """
    unknown = sorted({name for name, _ in use} - set(equivalences()))
    if unknown:
        raise BadInput(fact("errors_quantity.no_such_equivalence", name=unknown[0], known=tuple(equivalences())))
    return _built(definitions(use))


@cache
def _built(lines: tuple[str, ...]) -> Registry:
    import pint

    built: Registry = pint.UnitRegistry(
        None, non_int_type=Fraction, autoconvert_offset_to_baseunit=True, case_sensitive=True
    )
    for line in lines:
        built.define(line)
    built.formatter = _formatter(built)
    # The stock representation goes round the formatter, and fails on exponents that are fractions.
    built.Quantity.__repr__ = lambda quantity: f"<Quantity {quantity}>"  # type: ignore[method-assign]
    built.Unit.__repr__ = lambda unit: f"<Unit {unit}>"  # type: ignore[method-assign]
    return built


def definitions(use: tuple[tuple[str, Fraction], ...] = ()) -> tuple[str, ...]:
    """The registry's definitions, one line a unit, base units first."""
    values = {name: eq.value for name, eq in equivalences().items()} | dict(use)
    held = frozenset(name for name, _ in use)
    lines = list(_TEMPERATURES)
    bases: dict[str, list[str]] = {}
    for symbol, dimension in unit_table().dimension_of.items():
        if dimension == "temperature":
            continue
        found = _factor_to_a_base(symbol, bases.setdefault(dimension, []), values, held)
        if found:
            factor, base = found
            lines.append(f"{_name(symbol)} = {factor.numerator} / {factor.denominator} * {_name(base)}")
        else:
            # Months and hours are both time, but no number of hours makes a month: each is a base of its own.
            lines.append(f"{_name(symbol)} = [{_word(dimension)}{'_in_' + symbol if bases[dimension] else ''}]")
            bases[dimension].append(symbol)
    return tuple(lines)


def _factor_to_a_base(
    symbol: str, bases: Sequence[str], values: Mapping[str, Fraction], held: frozenset[str]
) -> tuple[Fraction, str] | None:
    for base in bases:  # the start of each way, since ways from one start keep to the same equivalences
        try:
            steps = conversion(base, symbol, held)
        except BadInput:
            continue
        factor = Fraction(1)
        for name, exponent in steps:
            factor /= values[name] ** exponent
        return factor, base
    return None


def quantity(value: Exact | int | str, unit: str | None = None, kind: str | None = None) -> Quantity:
    """An exact quantity for a formula.

    Args:
        value: A fraction, whole number or enclosure with `unit`; or a text with both, such as "2 mcg/kg/min".
        unit: Unit words such as "mL/h"; kg is body weight and g a drug's unless `kind` says otherwise.
        kind: Kind of given that decides what g, kg and oz stand for, such as "body_weight".

    Raises:
        BadInput: if the number or the unit is none, or a float is given.
    """
    if isinstance(value, str):
        number, parsed = parse_amount(value if unit is None else f"{value} {unit}", kind)
        return registry().Quantity(number, pint_unit(parsed))
    if not isinstance(value, (int, Fraction, Enclosure)):
        raise BadInput(fact("errors_quantity.inexact", value=value))
    exact = value if isinstance(value, Enclosure) else Fraction(value)
    return registry().Quantity(exact, pint_unit(parse_unit(unit or "", kind)))


def magnitude(given: Quantity, unit: str, what: str, kind: str | None = None) -> Exact:
    """The number of a quantity in the unit that a formula wants.

    Args:
        given: The quantity.
        unit: Unit words, as for `quantity`.
        what: The quantity's name for the message, such as "weight".
        kind: As for `quantity`.

    Raises:
        BadInput: if it is no quantity, measures something else, or is a float.
    """
    import pint

    wanted = pint_unit(parse_unit(unit, kind))
    if not hasattr(given, "to"):
        raise BadInput(fact("errors_quantity.unit_missing", what=what, unit=write_unit(unit), given=repr(given)))
    try:
        number = given.to(wanted).magnitude
    except pint.DimensionalityError:
        raise BadInput(
            fact("errors_quantity.wrong_unit", what=what, unit=write_unit(unit), given=str(given.units))
        ) from None
    if isinstance(number, Enclosure):
        return number
    if not isinstance(number, (int, Fraction)):
        raise BadInput(fact("errors_quantity.inexact_value", what=what, number=number))
    return Fraction(number)


def measures(given: Quantity, unit: str, kind: str | None = None) -> bool:
    """Whether a quantity measures what `unit` does."""
    return bool(given.check(pint_unit(parse_unit(unit, kind)).dimensionality))


def pint_unit(unit: Unit, use: tuple[tuple[str, Fraction], ...] = ()) -> Any:
    """The registry's unit for one of ours; `use` chooses the registry, as for `registry`."""
    built = registry(use)
    container = built.UnitsContainer({_name(symbol): exponent for symbol, exponent in unit.powers})
    return built.Unit(container)


def _name(symbol: str) -> str:
    return _NAMES.get(symbol, symbol)


def _word(dimension: str) -> str:
    return dimension.replace(" ", "_")


def _formatter(built: Registry) -> Any:
    from pint.delegates.formatter import Formatter

    class SafeFormatter(Formatter):  # type: ignore[misc,valid-type,unused-ignore]
        """Prints quantities the safe way; the stock printer fails on exponents that are fractions."""

        def format_magnitude(self, magnitude: Any, mspec: str = "", **_: Any) -> str:
            return _number_text(magnitude, mspec)

        def format_unit(self, unit: Any, uspec: str = "", sort_func: Any = None, **_: Any) -> str:
            return write_unit(_words(unit)) if _words(unit) else "no unit"

        def format_quantity(self, quantity: Any, spec: str = "", **_: Any) -> str:
            text = _with_unit(quantity.magnitude, _number_text(quantity.magnitude, spec), _words(quantity.units))
            return rf"\text{{{text}}}".replace("%", r"\%") if "L" in spec else text

    return SafeFormatter(built)


def _with_unit(magnitude: object, number: str, words: str) -> str:
    if isinstance(magnitude, (int, Fraction)) and not number.startswith("about"):
        return write_quantity(Fraction(number.replace(",", "")), words)
    return f"{number}{'' if words.startswith('%') else ' '}{write_unit(words)}" if words else number


def _number_text(number: object, spec: str) -> str:
    if isinstance(number, int):
        number = Fraction(number)
    if not isinstance(number, (Fraction, Enclosure)):
        return str(number)
    middle = number.middle if isinstance(number, Enclosure) else number
    if match := _PLACES.search(spec):
        return write_number(middle, int(match[1]))
    if isinstance(number, Fraction) and _is_short(number):
        return write_number(number)
    return f"about {write_number(middle, _places_for(middle))}"


def _is_short(number: Fraction) -> bool:
    return bool(10**SHOWN_DIGITS % number.denominator == 0)


def _places_for(number: Fraction) -> int:
    """Decimals that show the significant digits of a number."""
    places = SHOWN_DIGITS
    while number and abs(number) * 10**places < 10 ** (SHOWN_DIGITS - 1):
        places += 1
    return places if abs(number) < 1 else max(0, SHOWN_DIGITS - len(str(int(abs(number)))))


def _words(unit: Any) -> str:
    """Unit words of a registry unit; powers that are no whole numbers are shown as such."""
    items = dict(unit._units) if hasattr(unit, "_units") else dict(unit)
    powers: dict[str, Fraction] = {_SYMBOLS.get(name, name): Fraction(power) for name, power in items.items()}
    if all(power.denominator == 1 for power in powers.values()) and set(powers) <= set(unit_table().dimension_of):
        return unit_text(Unit.of((symbol, int(power)) for symbol, power in powers.items()))
    return " x ".join(symbol if power == 1 else f"{symbol}^({power})" for symbol, power in powers.items())
