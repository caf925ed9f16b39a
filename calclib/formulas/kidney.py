"""Creatinine clearance estimated from age, weight and serum creatinine."""

from __future__ import annotations

from calclib.formulas.body_size import Sex, checked_sex
from calclib.formulas.constants import constant, in_range, number
from calclib.quantity.enclosure import Exact
from calclib.quantity.registry import Quantity, magnitude, measures, quantity


def creatinine_clearance_cockcroft_gault(
    creatinine: Quantity, *, age: Quantity, weight: Quantity, sex: Sex
) -> Quantity:
    """Creatinine clearance of an adult by Cockcroft and Gault.

    (140 - age) x weight / (72 x creatinine), times 0.85 for women, for creatinine in mg/dL;
    (140 - age) x weight x 1.23 (women 1.04) / creatinine for micromol/L.

    Args:
        creatinine: Serum creatinine in mg/dL or micromol/L [drug mass or substance per volume].
        age: Age [time, in years].
        weight: Weight to use, see `dosing_weight` [body weight].
        sex: "male" or "female".

    Returns:
        Clearance in mL/min [volume per time].

    Raises:
        BadInput: for an age outside 18 to 120 years, a weight outside 0.3 to 400 kg, a creatinine that is not
            plausible, or another `sex`.

    Source:
        tabers_cockcroft_gault (mg/dL); nhsggc_handbook_2024 (micromol/L).

    Notes:
        The two forms do not give quite the same number: 1.23 and 1.04 are themselves rounded.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> you = {"age": quantity("68 yr"), "weight": quantity("60 kg")}
        >>> print(creatinine_clearance_cockcroft_gault(quantity("1.2 mg/dL"), **you, sex="male"))
        50 mL/min
    """
    years = in_range(age, "adult_age")
    top = (number("cockcroft_gault_age") - years) * in_range(weight, "weight")
    if measures(creatinine, "mcmol/L"):
        factor = number(f"cockcroft_gault_molar_{checked_sex(sex)}")
        return quantity(top * factor / in_range(creatinine, "creatinine_molar"), "mL/min")
    clearance: Exact = top / (number("cockcroft_gault_divisor") * in_range(creatinine, "creatinine"))
    share = number("cockcroft_gault_female") if checked_sex(sex) == "female" else 1
    return quantity(clearance * share, "mL/min")


def creatinine_at_least_floor(creatinine: Quantity) -> Quantity:
    """Serum creatinine, raised to 60 micromol/L where it is lower, as some hospitals ask before estimating clearance.

    Args:
        creatinine: Serum creatinine in micromol/L [substance per volume].

    Returns:
        Creatinine in micromol/L [substance per volume].

    Raises:
        BadInput: for a creatinine that is not plausible or in another unit.

    Source:
        nhsggc_handbook_2024.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(creatinine_at_least_floor(quantity("45 mcmol/L")))
        60 micromol/L
    """
    floor = magnitude(constant("creatinine_floor"), "mcmol/L", "floor")
    found = in_range(creatinine, "creatinine_molar")
    return quantity(max(found, floor), "mcmol/L")
