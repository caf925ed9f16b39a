"""Maintenance fluid of a child by bands of body weight; the hourly and the daily rule are not the same."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from calclib.errors.messages import BadInput
from calclib.formulas.constants import bands, in_range
from calclib.quantity.enclosure import Exact
from calclib.quantity.registry import Quantity, quantity
from calclib.quantity.writing import read_number
from calclib.wording.facts import fact


def maintenance_fluid_rate(weight: Quantity) -> Quantity:
    """Maintenance fluid per hour: 4 mL/kg for the first 10 kg, 2 for the next 10, 1 for each further kg.

    Args:
        weight: Body weight [body weight].

    Returns:
        Rate in mL/h [volume per time].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg.

    Source:
        utmb_fluids, page 4.

    Notes:
        For children beyond the newborn period. 24 hours of it are not the daily rule: 30 kg gives 1,680, not 1,700 mL.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(maintenance_fluid_rate(quantity("30 kg")))
        70 mL/h
    """
    return quantity(_by_bands("maintenance_hourly", in_range(weight, "weight")), "mL/h")


def maintenance_fluid_daily(weight: Quantity, *, rule: Literal["100-50-20", "100-50-25"] = "100-50-20") -> Quantity:
    """Maintenance fluid per day: 100 mL/kg for the first 10 kg, 50 for the next 10, 20 or 25 for each further kg.

    Args:
        weight: Body weight [body weight].
        rule: "100-50-20", or the WHO's "100-50-25".

    Returns:
        Volume in mL/day [volume per time].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg, or another rule.

    Source:
        utmb_fluids, page 4 (20); who_pocket_book_2013, ch. 10.2 (25).

    Notes:
        For children beyond the newborn period.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(maintenance_fluid_daily(quantity("25 kg")))
        1,600 mL/day
        >>> print(maintenance_fluid_daily(quantity("25 kg"), rule="100-50-25"))
        1,625 mL/day
    """
    names = {"100-50-20": "maintenance_daily", "100-50-25": "maintenance_daily_who"}
    if rule not in names:
        raise BadInput(fact("errors_formulas.rule_for_fluids", known=tuple(names), rule=rule))
    return quantity(_by_bands(names[rule], in_range(weight, "weight")), "mL/day")


def _by_bands(name: str, weight: Exact) -> Exact:
    total: Exact = Fraction(0)
    start = Fraction(0)
    for band in bands(name)["bands"]:
        rate = read_number(band["rate"])
        if "upto" not in band or weight <= read_number(band["upto"]):
            return total + (weight - start) * rate
        end = read_number(band["upto"])
        total += (end - start) * rate
        start = end
    raise BadInput(fact("errors_formulas.no_last_band", name=name))
