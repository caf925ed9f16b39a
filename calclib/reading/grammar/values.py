"""The exact value and unit of a parse tree without unknowns."""

from __future__ import annotations

from fractions import Fraction

from calclib.reading.grammar.trees import ClockTime, Expression, InUnit, Number, Product, Quotient, Root, Sum, Unknown
from calclib.reading.records import Unit, Unreadable
from calclib.wording.facts import fact

_LARGEST_BITS = 200


def _joined(left: Unit, right: Unit, sign: int) -> Unit:
    if not right:
        return left
    unit = dict(left)
    for word, power in right:
        unit[word] = unit.get(word, 0) + sign * power
    return tuple((word, power) for word, power in unit.items() if power)


def tree_value(tree: Expression) -> tuple[Fraction, Unit]:
    """The value of typed arithmetic and its unit.

    Raises Unreadable for a division by zero, a sum of unlike units, an unknown, or a number too large to be an answer.
    """
    value, unit = _value(tree)
    if value.numerator.bit_length() > _LARGEST_BITS or value.denominator.bit_length() > _LARGEST_BITS:
        raise Unreadable(fact("unread.number_too_large_answer"), 0)
    return value, unit


def _value(tree: Expression) -> tuple[Fraction, Unit]:
    match tree:
        case Number():
            return tree.value, tree.unit
        case InUnit(of=of, unit=unit):
            return _value(of)[0], unit
        case Quotient(top=top, bottom=bottom):
            over, over_unit = _value(top)
            under, under_unit = _value(bottom)
            if not under:
                raise Unreadable(fact("unread.divides_by_zero"), 0)
            return over / under, _joined(over_unit, under_unit, -1)
        case Product(factors=factors):
            value, unit = _value(factors[0])
            for factor in factors[1:]:
                other, other_unit = _value(factor)
                value, unit = value * other, _joined(unit, other_unit, 1)
            return value, unit
        case Sum(terms=terms):
            total, unit = _value(terms[0][1])
            for sign, term in terms[1:]:
                other, other_unit = _value(term)
                if sorted(other_unit) != sorted(unit):
                    raise Unreadable(fact("unread.parts_sum_have_different_units"), 0)
                total += sign * other
            return total, unit
        case Root():
            raise Unreadable(fact("unread.square_root"), 0)
        case ClockTime(position=position):
            raise Unreadable(fact("unread.time_of_day_here"), position)
        case Unknown(position=position):
            raise Unreadable(fact("unread.x_here"), position)
