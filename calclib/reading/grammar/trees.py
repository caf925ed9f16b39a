"""The parse tree of typed arithmetic with units. Nothing here computes; see `values.py`."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.reading.records import Unit


@dataclass(frozen=True)
class Number:
    """A number with the unit typed after it (() if none), its plain text and the place where it was typed."""

    value: Fraction
    decimals: int | None
    unit: Unit
    text: str
    position: int


@dataclass(frozen=True)
class Unknown:
    """The x (or ?) of a proportion, with the unit typed after it."""

    unit: Unit
    position: int


@dataclass(frozen=True)
class Product:
    """Two or more factors."""

    factors: tuple[Expression, ...]


@dataclass(frozen=True)
class Quotient:
    """`sign` is how the division was typed: "/", "÷", "per" or ":"."""

    top: Expression
    bottom: Expression
    sign: str


@dataclass(frozen=True)
class Sum:
    """Terms, each with +1 or -1."""

    terms: tuple[tuple[int, Expression], ...]


@dataclass(frozen=True)
class Root:
    """The square root of arithmetic."""

    of: Expression


@dataclass(frozen=True)
class ClockTime:
    """A time of day that a set-up starts from or comes to, in minutes after midnight."""

    minutes: int
    text: str
    position: int


@dataclass(frozen=True)
class InUnit:
    """Arithmetic on plain numbers with one unit behind it: ``1000/8 mL/h``."""

    of: Expression
    unit: Unit


@dataclass(frozen=True)
class Equation:
    """Two or more sides joined by equals signs."""

    sides: tuple[Expression, ...]


Expression = Number | Unknown | Product | Quotient | Sum | InUnit | Root | ClockTime


def has_unit(tree: Expression) -> bool:
    """Whether any unit was typed in the tree."""
    match tree:
        case Number(unit=unit) | Unknown(unit=unit) | InUnit(unit=unit):
            return bool(unit)
        case Product(factors=factors):
            return any(has_unit(factor) for factor in factors)
        case Quotient(top=top, bottom=bottom):
            return has_unit(top) or has_unit(bottom)
        case Sum(terms=terms):
            return any(has_unit(term) for _, term in terms)
        case Root(of=of):
            return has_unit(of)
        case ClockTime():
            return True
