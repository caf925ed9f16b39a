"""Whether an amount is one that an order has: of whole or half units of the drug, and a number that is prescribed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from calclib.formulary.amount import ML, Amount, shape_of
from calclib.formulary.practical import is_as_ordered, leading_digits
from calclib.formulary.records import Drug, Form, Kind
from calclib.quantity.amounts import parse_amount

_OF_UNITS = tuple(Fraction(one, 2) for one in (1, 2, 3, 4, 6))
"""Half a tablet or vial, one, one and a half, two or three."""
_WHOLE = (1, 2)
"""One or two units are ordered whatever they hold: 2.25 g, 1,200 mg."""
_FEW_MEASURES = 4
_PER_KILOGRAM = frozenset(
    Fraction(one) for one in ("1", "1.25", "1.5", "2", "2.5", "3", "4", "5", "6", "7", "7.5", "8", "9")
)
"""First digits of mg/kg, mcg/kg/min and the like: 10, 12.5, 15, 20 mg/kg."""
_COUNTED_TOO = frozenset(Fraction(one) for one in ("1.2", "1.4", "1.6", "1.8"))
"""Steps of heparin and insulin: 12, 14 and 18 units/kg/h, 0.14 unit/kg/h."""
_PER_HOUR_TOO = Fraction("1.2")
_HALVES_TO, _RATE_STEP = 20, 5
_COUNTED = "drug activity"
_DOSES = (Kind.DOSE, Kind.DOSE_MOST, Kind.DAY, Kind.DAY_MOST, Kind.RATE, Kind.RATE_MOST)
_OF_VOLUME = re.compile(r".+/([\d.,]+ mL)")
_LIQUIDS = (Form.ORAL_SOLUTION, Form.ORAL_SUSPENSION, Form.ORAL_LIQUID, Form.ORAL_CONCENTRATE, Form.ORAL_DROPS)
_BAGS = (Form.PREMIXED_BAG, Form.MIXED_BAG, Form.BULK_VIAL)


@dataclass(frozen=True)
class OrderedUnits:
    """In what a drug is ordered.

    Args:
        held: What one tablet, vial or syringe holds.
        measured: What the measure on the label of a liquid holds, such as 5 mL.
        named: The amounts at the ends of its figures.
    """

    held: tuple[Amount, ...] = ()
    measured: tuple[Amount, ...] = ()
    named: tuple[Amount, ...] = ()


def is_dose_as_ordered(dose: Amount, units: OrderedUnits) -> bool:
    """Whether a dose to which no weight leads is one that somebody orders: diphenhydramine 25 mg, and not 45 mg.

    Args:
        dose: The dose.
        units: In what the drug is ordered; where nothing is known of it the number alone decides.
    """
    if any(dose.over(end) == 1 for end in units.named):
        return True
    held = [times for one in units.held if (times := dose.over(one)) is not None]
    measured = [times for one in units.measured if (times := dose.over(one)) is not None]
    if not held and not measured:
        return is_as_ordered(dose.value)
    if any(times in _WHOLE for times in held):
        return True
    halves = [times for times in measured if (times * 2).denominator == 1]
    if any(times <= _FEW_MEASURES for times in halves):
        return True
    return is_as_ordered(dose.value) and (bool(halves) or any(times in _OF_UNITS for times in held))


def ordered_units(drug: Drug) -> OrderedUnits:
    """Return in what a drug is ordered: its tablets and vials, and the amounts that its figures name."""
    return OrderedUnits(*(tuple(dict.fromkeys(found(drug))) for found in (_held, _measured, _named)))


def _held(drug: Drug) -> Iterator[Amount]:
    """What a tablet, a vial or a syringe holds."""
    for one in drug.presentations:
        shape = shape_of(one.strength.unit)
        if shape is None or not shape.in_volume:
            yield Amount(one.strength.value, one.strength.unit)
        elif one.form not in (*_LIQUIDS, *_BAGS):
            for size in one.volumes:
                yield Amount(one.strength.value * size.value, one.strength.unit * size.unit)


def _measured(drug: Drug) -> Iterator[Amount]:
    """What the measure on a label of liquid holds, or 1 mL of a vial whose size isn't known."""
    for one in drug.presentations:
        shape = shape_of(one.strength.unit)
        if shape is None or not shape.in_volume or one.form in _BAGS or (one.volumes and one.form not in _LIQUIDS):
            continue
        on_label = _OF_VOLUME.fullmatch(one.strength.text) if one.form in _LIQUIDS else None
        value, unit = parse_amount(on_label[1]) if on_label else (Fraction(1), ML)
        yield Amount(one.strength.value * value, one.strength.unit * unit)


def _named(drug: Drug) -> Iterator[Amount]:
    """The ends of its figures, for each kg or in all."""
    for use in drug.uses:
        for limit in use.limits:
            if limit.kind in _DOSES:
                yield from (Amount(end.value, end.unit) for end in (*limit.high, limit.low) if end is not None)


def is_per_kilogram_as_ordered(dose: Amount, units: OrderedUnits) -> bool:
    """Whether a dose or a rate for each kg is ordered with such a number: 10, 12.5 or 15 mg/kg, and not 11 or 13.

    Args:
        dose: The dose, in the unit in which it is ordered.
        units: What the figures of the drug name is ordered too: 112.5 mg/kg.
    """
    digits = leading_digits(dose.value)
    if digits in _PER_KILOGRAM or (_counts_units(dose) and digits in _COUNTED_TOO):
        return True
    return any(dose.over(end) == 1 for end in units.named)


def is_rate_as_ordered(rate: Amount, units: OrderedUnits) -> bool:
    """Whether a fixed rate is ordered with such a number: 12.5 mg/h, 35 mcg/min or 1,280 units/h, and not 14.5 mg/h.

    Args:
        rate: The rate, in the unit in which it is ordered.
        units: What the figures of the drug name is ordered too.
    """
    shape = shape_of(rate.unit)
    if _counts_units(rate) or any(rate.over(end) == 1 for end in units.named):
        return True
    if shape is not None and shape.time == "min":
        return (rate.value * 2).denominator == 1 if rate.value <= _HALVES_TO else rate.value % _RATE_STEP == 0
    digits = leading_digits(rate.value)
    return digits in _PER_KILOGRAM or digits == _PER_HOUR_TOO


def _counts_units(amount: Amount) -> bool:
    shape = shape_of(amount.unit)
    return shape is not None and shape.of == _COUNTED
